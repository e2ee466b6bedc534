#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "server/base/geo.hpp"
#include "server/base/time.hpp"
#include "server/model/ids.hpp"

namespace fixwright {

/// Another azimuth that the same measurement admits. A hypothesis, not a further bearing.
struct AlternativeAzimuth {
  double azimuth_deg = 0.0;  // from true north, [0, 360)
  double weight = 0.0;       // likelihood relative to the main azimuth, (0, 1]
  friend bool operator==(const AlternativeAzimuth&, const AlternativeAzimuth&) = default;
};

/// Bits of Bearing::flags, as stored.
enum BearingFlag : std::uint32_t {
  kFlagOverload = 1U << 0U,
  kFlagUncalibrated = 1U << 1U,
  kFlagClockUnsynchronised = 1U << 2U,
  kFlagSimulated = 1U << 3U,
};

/// One admitted bearing: the azimuth of arrival of one signal, at one station, on one channel.
struct Bearing {
  BearingKey key;
  ChannelId channel = 0;
  TimePoint start;         // of the integration interval, by the station's clock
  Duration integration{};  // 0 to 60 s
  Duration clock_error{};  // bound, >= 0
  double frequency_hz = 0.0;
  double azimuth_deg = 0.0;   // from true north, [0, 360), as sent
  double sigma_deg = 0.0;     // one standard deviation, (0, 90]
  GeoPoint station_position;  // where the station stood; its registered place if it is fixed
  bool station_moves = false;
  double station_sigma_m = 0.0;  // of that place, one axis, >= 0; 0 of a fixed station
  std::vector<AlternativeAzimuth> alternatives;
  std::optional<double> field_strength_dbuv_per_m;
  std::optional<double> level_dbfs;
  std::optional<double> snr_db;
  std::optional<double> bandwidth_hz;
  std::optional<std::string> label;
  std::uint32_t flags = 0;

  [[nodiscard]] TimePoint middle() const { return start + integration / 2; }
  [[nodiscard]] TimePoint end() const { return start + integration; }
  friend bool operator==(const Bearing&, const Bearing&) = default;
};

/// The one order of bearings: by time, then station, then sequence. Arrival plays no part.
struct EventOrder {
  bool operator()(const Bearing& a, const Bearing& b) const {
    return std::tie(a.start, a.key.station, a.key.stream, a.key.sequence) <
           std::tie(b.start, b.key.station, b.key.stream, b.key.sequence);
  }
};

}  // namespace fixwright
