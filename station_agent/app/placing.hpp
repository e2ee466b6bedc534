#pragma once
/// Gives the bearings of a station that moves their place and heading.

#include <cstdint>
#include <string>
#include <vector>

#include "station_agent/clock/clock_state.hpp"
#include "station_agent/position/navigator.hpp"
#include "station_agent/source/source.hpp"

namespace fixwright::agent {

/// From one thread.
class Placing {
 public:
  /// \param navigation  null: the station is fixed, its bearings stay as they are.
  explicit Placing(const Navigation* navigation) : navigation_(navigation) {}

  /// Each bearing gets the station's place in the middle of its integration interval; azimuths
  /// from the heading become true and their sigma takes in the heading's. The place's sigma takes
  /// in how far the vehicle drives in the clock's error, and in half the integration.
  ///
  /// Bearings without a place, or that need a heading while none is known, are taken out: counted,
  /// and said when it begins and when it ends.
  void place(std::vector<SourceBearing>& bearings, const ClockReading& clock);

  /// Bearings taken out so far.
  [[nodiscard]] std::uint64_t withheld() const { return withheld_; }

 private:
  enum class Lack { none, position, heading };
  Lack place_one(SourceBearing& bearing, const ClockReading& clock) const;
  void tell(Lack lack);

  const Navigation* navigation_;
  Lack told_ = Lack::none;
  std::uint64_t withheld_ = 0;
  std::uint64_t withheld_since_told_ = 0;
};

}  // namespace fixwright::agent
