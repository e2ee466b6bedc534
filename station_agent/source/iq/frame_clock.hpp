#pragma once
/// The time of samples that come without one: counted by their rate, anchored to when they arrive.
/// Pure: it is told the time.
///
/// Samples arrive late by a latency that varies and is never negative. So the smallest latency of
/// each 5 s is followed: a quarter of the way each time, at once where samples would lie in the
/// future. When even the smallest has grown by 0.2 s within 5 s, samples were lost on their way
/// here: a sender that waits for nobody drops them.
/// Accuracy: late by the smallest latency of the way here, and within the jitter of 5 s.

#include <cstdint>
#include <optional>

#include "server/base/time.hpp"

namespace fixwright::agent::iq {

class FrameClock {
 public:
  static constexpr Duration kWindow = std::chrono::seconds{5};
  static constexpr Duration kGap = std::chrono::milliseconds{200};
  static constexpr double kOddRate = 0.02;

  struct Stamp {
    TimePoint start;         // of the block's first frame
    std::uint64_t lost = 0;  // frames found to be missing before it
  };

  explicit FrameClock(double rate_hz) : rate_hz_(rate_hz) {}

  /// A block of `frames` was complete at `arrival`.
  Stamp stamp(std::uint64_t frames, TimePoint arrival);
  /// So many are missing before the next block.
  void skip(std::uint64_t frames) { count_ += frames; }
  /// An unknown number is missing before the next block, 1 at least: its arrival says how many.
  void restart() { anchored_ = false; }
  /// When the rate of the last 5 s was off by more than 2 %, once: frames a second as they came.
  std::optional<double> take_odd_rate();

 private:
  std::uint64_t anchor(std::uint64_t frames, TimePoint arrival);
  std::uint64_t close_window(TimePoint arrival);
  [[nodiscard]] TimePoint time_of(std::uint64_t index) const;

  double rate_hz_;
  bool anchored_ = false;
  bool ever_anchored_ = false;
  TimePoint base_;           // of frame 0
  std::uint64_t count_ = 0;  // index of the next frame, those lost included
  TimePoint window_start_;
  std::uint64_t window_frames_ = 0;  // received in it
  Duration smallest_{};              // arrival less time_of, over the window
  bool rate_was_odd_ = false;
  std::optional<double> odd_rate_;
};

}  // namespace fixwright::agent::iq
