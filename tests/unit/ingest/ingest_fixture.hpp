#pragma once
/// One station's admission on a clock that stands still.

#include <gtest/gtest.h>

#include <limits>
#include <string>
#include <variant>

#include "server/ingest/admission.hpp"

namespace fixwright::ingest {

inline constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
inline constexpr double kInf = std::numeric_limits<double>::infinity();

class AdmissionTest : public testing::Test {
 protected:
  static constexpr StationId kStation = 3;
  static constexpr StreamId kStream = 77;

  static Station quill_point() {
    Station s;
    s.id = kStation;
    s.name = "QUILL-POINT";
    s.position = {41.020, -150.120};
    return s;
  }

  static ChannelMap map() {
    return ChannelMap::make({{12, "harbour", 156.8e6, 25e3}}, 12.5e3).value();
  }

  /// A bearing as a healthy agent sends it: nothing is wrong with it.
  [[nodiscard]] Bearing sound(std::uint64_t sequence = 1) const {
    Bearing b;
    b.key.sequence = sequence;
    b.start = clock.now() - std::chrono::milliseconds{200};
    b.integration = std::chrono::milliseconds{100};
    b.clock_error = std::chrono::milliseconds{5};
    b.frequency_hz = 156.8e6;
    b.azimuth_deg = 211.5;
    b.sigma_deg = 1.5;
    return b;
  }

  Admission admission(AdmissionRules rules = {}) {
    return {quill_point(), kStream, rules, channels, limiter, clock, metrics};
  }

  Admission of_vehicle() {
    Station vehicle = quill_point();
    vehicle.moves = true;
    return {vehicle, kStream, {}, channels, limiter, clock, metrics};
  }

  std::uint64_t refused(const std::string& reason) {
    return metrics
        .counter("fixwright_bearings_refused", "", {{"station", "QUILL-POINT"}, {"reason", reason}})
        .value();
  }

  ManualClock clock{parse_rfc3339("2031-05-04T10:15:02Z").value()};
  ChannelMap channels = map();
  RateLimiter limiter{100.0, 10.0, clock};
  Metrics metrics;
};

}  // namespace fixwright::ingest
