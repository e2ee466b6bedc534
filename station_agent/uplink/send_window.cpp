#include "station_agent/uplink/send_window.hpp"

#include <algorithm>

namespace fixwright::agent {

namespace {
/// A bucket of one second's worth, filled at nine tenths of the rate: in any 10 s at most
/// 1 + 9 = 10 seconds' worth goes out.
constexpr double kFill = 0.9;
}  // namespace

SendWindow::SendWindow(const SendLimits& limits, std::uint64_t acknowledged, Duration now)
    : limits_(limits),
      last_sent_(acknowledged),
      tokens_(static_cast<double>(limits.max_per_second)),
      filled_at_(now) {}

std::uint32_t SendWindow::room(Duration now) {
  const auto rate = static_cast<double>(limits_.max_per_second);
  tokens_ = std::min(rate, tokens_ + kFill * rate * seconds(now - filled_at_));
  filled_at_ = now;
  const auto window =
      limits_.max_in_flight - std::min<std::size_t>(in_flight_.size(), limits_.max_in_flight);
  const auto room = std::min({static_cast<std::size_t>(limits_.max_batch), window,
                              static_cast<std::size_t>(std::max(tokens_, 0.0))});
  return static_cast<std::uint32_t>(room);
}

void SendWindow::sent(std::uint64_t sequence) {
  last_sent_ = sequence;
  in_flight_.push_back(sequence);
  tokens_ -= 1.0;
}

void SendWindow::acknowledged(std::uint64_t sequence) {
  while (!in_flight_.empty() && in_flight_.front() <= sequence) in_flight_.pop_front();
}

}  // namespace fixwright::agent
