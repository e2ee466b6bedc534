#include "station_agent/source/iq/chain/complaint_book.hpp"

#include <fmt/core.h>

namespace fixwright::agent::iq {

bool ComplaintBook::is_due(const std::string& matter, TimePoint at) const {
  const auto it = entries_.find(matter);
  if (it == entries_.end()) return true;
  // A clock that was put back must not silence it for long.
  return at < it->second.said || at - it->second.said >= interval_;
}

void ComplaintBook::say(const std::string& matter, const std::string& line, TimePoint at,
                        std::vector<std::string>& out) {
  const bool due = is_due(matter, at);
  Entry& entry = entries_[matter];
  if (!due) {
    ++entry.passed_over;
    return;
  }
  out.push_back(entry.passed_over == 0
                    ? line
                    : fmt::format("{} ({} more like it before)", line, entry.passed_over));
  entry = {at, 0};
}

}  // namespace fixwright::agent::iq
