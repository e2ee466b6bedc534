#pragma once
/// How much may be sent now: what is on its way and how fast the server wants it. Pure.

#include <cstdint>
#include <deque>

#include "server/base/time.hpp"

namespace fixwright::agent {

/// As fixwright.station.v1.Limits.
struct SendLimits {
  std::uint32_t max_batch = 1;
  std::uint32_t max_per_second = 1;  // averaged over 10 s
  std::uint32_t max_in_flight = 1;
};

class SendWindow {
 public:
  /// \param acknowledged  the last sequence that is safe: sending goes on after it.
  /// \param now           of a steady clock, from any origin.
  SendWindow(const SendLimits& limits, std::uint64_t acknowledged, Duration now);

  /// Bearings that may go out now in one batch; 0: wait.
  std::uint32_t room(Duration now);
  void sent(std::uint64_t sequence);
  void acknowledged(std::uint64_t sequence);
  [[nodiscard]] std::uint64_t last_sent() const { return last_sent_; }
  [[nodiscard]] std::size_t in_flight() const { return in_flight_.size(); }

 private:
  SendLimits limits_;
  std::uint64_t last_sent_;
  std::deque<std::uint64_t> in_flight_;
  double tokens_;
  Duration filled_at_;
};

}  // namespace fixwright::agent
