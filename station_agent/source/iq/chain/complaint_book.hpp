#pragma once
/// Keeps what goes wrong with every look from being said with every look.

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "server/base/time.hpp"

namespace fixwright::agent::iq {

class ComplaintBook {
 public:
  /// The same matter is said again after `interval` at the earliest.
  explicit ComplaintBook(Duration interval = std::chrono::seconds{60}) : interval_(interval) {}

  /// Whether say() would say it now. \param matter  what is wrong, without numbers that change.
  [[nodiscard]] bool is_due(const std::string& matter, TimePoint at) const;
  /// Adds the line to `out`, with how many were passed over since the last; or only counts it.
  void say(const std::string& matter, const std::string& line, TimePoint at,
           std::vector<std::string>& out);

 private:
  struct Entry {
    TimePoint said;
    std::uint64_t passed_over = 0;
  };
  Duration interval_;
  std::map<std::string, Entry> entries_;
};

}  // namespace fixwright::agent::iq
