#pragma once
/// What the future says of the past: the Rauch-Tung-Striebel smoother as a value that grows with
/// the filter and never holds more than one step (H. E. Rauch, F. Tung, C. T. Striebel, AIAA
/// Journal 3 (1965) 1445).
///
/// Each step of the filter gives the state before it as a linear function of the state after it,
/// x_before = shift + gain x_after, with a spread of its own. Such functions compose, so a link
/// spans any number of bearings at constant size, and links of neighbouring stretches join.

#include <array>

#include "server/track/motion_state.hpp"

namespace fixwright::track {

class SmoothingLink {
 public:
  SmoothingLink() = default;
  /// Of no time at all: the state given is its own past.
  explicit SmoothingLink(const MotionState& from);

  /// The state advanced by dt: `before` gave `after`, mean aside.
  void advanced(const MotionState& before, const MotionState& after, double dt_s);
  /// A bearing moved the mean by so much (as many as the state has parts).
  void moved(const double* by, std::size_t size);
  /// East and north turned by so much, clockwise.
  void turned(double rad);
  /// One more site: nothing earlier depends on it.
  void admitted_site();

  /// This link's past, told by the later link's present.
  [[nodiscard]] SmoothingLink then(const SmoothingLink& later) const;

  /// The state at the link's beginning, when the one at its end is `end`.
  /// \param filtered  at the beginning: as it was before anything later was heard.
  [[nodiscard]] MotionState smoothed(const MotionState& filtered, const MotionState& end) const;

 private:
  using Matrix = std::array<double, MotionState::kMaxSize * MotionState::kMaxSize>;

  std::size_t before_ = 0;  // parts of the state at the beginning
  std::size_t after_ = 0;   // and at the end
  std::array<double, MotionState::kMaxSize> shift_{};
  Matrix gain_{};    // before_ rows, after_ columns, kMaxSize apart
  Matrix spread_{};  // before_ by before_
};

}  // namespace fixwright::track
