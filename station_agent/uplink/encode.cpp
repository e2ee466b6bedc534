#include "station_agent/uplink/encode.hpp"

#include <algorithm>

#include "station_agent/uplink/wire.hpp"

namespace fixwright::agent {

namespace {

using std::chrono::floor;

void add_flags(const SourceBearing& from, const ClockReading& clock, wire::Bearing& to) {
  if (from.overload) to.add_flags(wire::BEARING_FLAG_OVERLOAD);
  if (from.uncalibrated) to.add_flags(wire::BEARING_FLAG_UNCALIBRATED);
  if (clock.state == ClockState::unsynchronised) {
    to.add_flags(wire::BEARING_FLAG_CLOCK_UNSYNCHRONISED);
  }
  if (from.simulated) to.add_flags(wire::BEARING_FLAG_SIMULATED);
}

void add_extras(const SourceBearing& from, wire::Bearing& to) {
  for (const SourceAlternative& a : from.alternatives) {
    auto* alternative = to.add_alternatives();
    alternative->set_azimuth_deg(a.azimuth_deg);
    alternative->set_weight(a.weight);
  }
  if (from.field_strength_dbuv_per_m) {
    to.set_field_strength_dbuv_per_m(*from.field_strength_dbuv_per_m);
  }
  if (from.level_dbfs) to.set_level_dbfs(*from.level_dbfs);
  if (from.snr_db) to.set_snr_db(*from.snr_db);
  if (from.bandwidth_hz) to.set_bandwidth_hz(*from.bandwidth_hz);
  if (from.label) to.set_label(*from.label);
}

void add_position(const SourcePosition& from, wire::Position& to) {
  to.set_latitude_deg(from.latitude_deg);
  to.set_longitude_deg(from.longitude_deg);
  if (from.height_m) to.set_height_m(*from.height_m);
  to.set_position_sigma_m(from.sigma_m);
}

}  // namespace

SpoolItem encode(const SourceBearing& bearing, const ClockReading& clock) {
  wire::Bearing to;
  set_time(bearing.start, *to.mutable_start_time());
  set_duration(bearing.integration, *to.mutable_integration());
  set_duration(clock.error, *to.mutable_clock_error());
  to.set_frequency_hz(bearing.frequency_hz);
  to.set_azimuth_deg(bearing.azimuth_deg);
  to.set_azimuth_sigma_deg(bearing.sigma_deg);
  add_extras(bearing, to);
  add_flags(bearing, clock, to);
  if (bearing.position) add_position(*bearing.position, *to.mutable_station_position());
  return {bearing.start, to.SerializeAsString()};
}

bool decode(const SpooledBearing& spooled, wire::Bearing& bearing) {
  if (!bearing.ParseFromString(spooled.payload)) return false;
  bearing.set_sequence(spooled.sequence);
  return true;
}

void set_time(TimePoint t, google::protobuf::Timestamp& out) {
  const auto whole = floor<std::chrono::seconds>(t);  // nanos count forward, also before 1970
  out.set_seconds(whole.time_since_epoch().count());
  out.set_nanos(static_cast<std::int32_t>((t - whole).count()));
}

void set_duration(Duration d, google::protobuf::Duration& out) {
  const auto whole = std::chrono::duration_cast<std::chrono::seconds>(d);
  out.set_seconds(whole.count());
  out.set_nanos(static_cast<std::int32_t>((d - whole).count()));
}

Duration duration_of(const google::protobuf::Duration& d) {
  constexpr std::int64_t kDay_s = 86'400;
  return std::chrono::seconds{std::clamp<std::int64_t>(d.seconds(), 0, kDay_s)} +
         Duration{std::clamp(d.nanos(), 0, 999'999'999)};
}

wire::ClockState wire_clock_state(ClockState state) {
  switch (state) {
    case ClockState::synchronised:
      return wire::CLOCK_STATE_SYNCHRONISED;
    case ClockState::holdover:
      return wire::CLOCK_STATE_HOLDOVER;
    case ClockState::unsynchronised:
      break;
  }
  return wire::CLOCK_STATE_UNSYNCHRONISED;
}

}  // namespace fixwright::agent
