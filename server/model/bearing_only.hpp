#pragma once
/// An emitter that one station alone hears: it has a direction and no place.

#include <compare>
#include <cstdint>
#include <optional>
#include <string_view>

#include "server/base/geo.hpp"
#include "server/model/ids.hpp"

namespace fixwright {

/// The id is taken from the start of the transmission in which it was first heard, as an emitter's.
struct BearingOnlyKey {
  ChannelId channel = 0;
  std::int64_t id = 0;
  StationId station = 0;
  friend auto operator<=>(const BearingOnlyKey&, const BearingOnlyKey&) = default;
};

enum class BearingOnlyState {
  waiting,  // for a second station
  located,  // an emitter was found that lies where it pointed
  ended,    // not heard for long, or withdrawn: late bearings changed what was heard
};
std::string_view to_string(BearingOnlyState s);

struct BearingOnly {
  BearingOnlyKey key;
  std::uint32_t revision = 1;
  BearingOnlyState state = BearingOnlyState::waiting;
  GeoPoint station_position;  // where the line begins
  double azimuth_deg = 0.0;   // mean, the station's known bias taken off, [0, 360)
  double sigma_deg = 0.0;     // of the mean, the site's floor included
  double frequency_hz = 0.0;  // mean
  TimePoint first_heard;
  TimePoint last_heard;
  std::uint64_t bearings = 0;
  std::uint32_t transmissions = 0;
  std::optional<EmitterKey> emitter;  // of a located one
  friend bool operator==(const BearingOnly&, const BearingOnly&) = default;
};

}  // namespace fixwright
