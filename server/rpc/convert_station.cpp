#include "server/rpc/convert_station.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <string_view>

#include "server/rpc/convert_time.hpp"

namespace fixwright::rpc {

namespace {

std::uint32_t flag_bits(const station_v1::Bearing& b) {
  std::uint32_t bits = 0;
  for (const int flag : b.flags()) {
    if (flag == station_v1::BEARING_FLAG_OVERLOAD) bits |= kFlagOverload;
    if (flag == station_v1::BEARING_FLAG_UNCALIBRATED) bits |= kFlagUncalibrated;
    if (flag == station_v1::BEARING_FLAG_CLOCK_UNSYNCHRONISED) bits |= kFlagClockUnsynchronised;
    if (flag == station_v1::BEARING_FLAG_SIMULATED) bits |= kFlagSimulated;
  }
  return bits;
}

ChannelId stated_channel(const station_v1::Bearing& b) {
  if (!b.has_channel_id()) return 0;
  return b.channel_id() == 0 ? -1 : b.channel_id();
}

void set_measured(const station_v1::Bearing& b, Bearing& out) {
  if (b.has_field_strength_dbuv_per_m()) {
    out.field_strength_dbuv_per_m = b.field_strength_dbuv_per_m();
  }
  if (b.has_level_dbfs()) out.level_dbfs = b.level_dbfs();
  if (b.has_snr_db()) out.snr_db = b.snr_db();
  if (b.has_bandwidth_hz()) out.bandwidth_hz = b.bandwidth_hz();
  if (b.has_label()) out.label = b.label();
  out.alternatives.reserve(static_cast<std::size_t>(b.alternatives_size()));
  for (const auto& a : b.alternatives()) out.alternatives.push_back({a.azimuth_deg(), a.weight()});
}

ClockState from_proto(station_v1::ClockState state) {
  if (state == station_v1::CLOCK_STATE_SYNCHRONISED) return ClockState::synchronised;
  if (state == station_v1::CLOCK_STATE_HOLDOVER) return ClockState::holdover;
  return ClockState::unsynchronised;
}

bool is_station_name(std::string_view name) {
  constexpr std::string_view kAllowed = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-";
  return !name.empty() && name.size() <= 32 &&
         name.find_first_not_of(kAllowed) == std::string_view::npos;
}

/// Fit for a log line.
bool is_plain(std::string_view text) {
  return std::none_of(text.begin(), text.end(),
                      [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; });
}

}  // namespace

Bearing from_proto(const station_v1::Bearing& b) {
  Bearing out;
  out.key.sequence = b.sequence();
  out.channel = stated_channel(b);
  out.start = b.has_start_time() ? from_proto(b.start_time()) : TimePoint::min();
  out.integration = from_proto(b.integration());
  out.clock_error = b.has_clock_error() ? from_proto(b.clock_error()) : Duration::min();
  out.frequency_hz = b.frequency_hz();
  out.azimuth_deg = b.azimuth_deg();
  out.sigma_deg = b.azimuth_sigma_deg();
  out.flags = flag_bits(b);
  set_measured(b, out);
  if (b.has_station_position()) {
    out.station_moves = true;
    out.station_position = {b.station_position().latitude_deg(),
                            b.station_position().longitude_deg()};
    if (b.station_position().has_position_sigma_m()) {
      out.station_sigma_m = b.station_position().position_sigma_m();
    }
  }
  return out;
}

Heartbeat from_proto(const station_v1::Heartbeat& h) {
  Heartbeat out;
  out.low_watermark = h.has_low_watermark() ? from_proto(h.low_watermark()) : TimePoint::min();
  out.clock_error = h.has_clock_error() ? from_proto(h.clock_error()) : Duration::min();
  out.clock_state = from_proto(h.clock_state());
  out.waiting = h.spooled_bearings();
  out.dropped = h.dropped_bearings();
  return out;
}

std::optional<std::string> hello_problem(const station_v1::Hello& hello) {
  if (!is_station_name(hello.station())) {
    return "hello.station must be 1 to 32 of A-Z, 0-9 and -, as the server's operator "
           "registered it";
  }
  if (hello.agent_version().size() > 64 || !is_plain(hello.agent_version())) {
    return "hello.agent_version must be at most 64 bytes without control characters";
  }
  if (hello.stream_id() == 0) {
    return "hello.stream_id = 0: must be random and not 0, made once with the spool";
  }
  if (!hello.has_position()) return std::nullopt;
  const auto& p = hello.position();
  const bool on_earth = std::abs(p.latitude_deg()) <= 90.0 && p.longitude_deg() >= -180.0 &&
                        p.longitude_deg() < 180.0;  // false for NaN
  if (on_earth) return std::nullopt;
  return fmt::format(
      "hello.position = {}, {}: must be in [-90, 90] and [-180, 180); mend the agent's "
      "configuration",
      p.latitude_deg(), p.longitude_deg());
}

HelloRequest from_proto(const station_v1::Hello& hello, const std::string& peer) {
  HelloRequest request{hello.station(), hello.agent_version(), hello.stream_id(), {}, peer};
  if (hello.has_position()) {
    request.position = GeoPoint{hello.position().latitude_deg(), hello.position().longitude_deg()};
  }
  return request;
}

station_v1::ChannelPlan to_proto(const ChannelPlan& plan) {
  station_v1::ChannelPlan proto;
  proto.set_raster_hz(plan.raster_hz);
  for (const Channel& c : plan.channels) {
    auto& out = *proto.add_channels();
    out.set_channel_id(c.id);
    out.set_name(c.name);
    out.set_frequency_hz(c.frequency_hz);
    out.set_bandwidth_hz(c.bandwidth_hz);
  }
  return proto;
}

station_v1::Welcome to_proto(const Grant& grant) {
  station_v1::Welcome proto;
  proto.set_server_version(FIXWRIGHT_VERSION);
  proto.set_acknowledged_sequence(grant.acknowledged_sequence);
  *proto.mutable_channel_plan() = to_proto(grant.plan);
  proto.mutable_limits()->set_max_batch(grant.limits.max_batch);
  proto.mutable_limits()->set_max_bearings_per_second(grant.limits.max_bearings_per_second);
  proto.mutable_limits()->set_max_in_flight(grant.limits.max_in_flight);
  *proto.mutable_heartbeat_interval() = to_proto(grant.heartbeat_interval);
  *proto.mutable_keepalive_interval() = to_proto(grant.keepalive_interval);
  return proto;
}

}  // namespace fixwright::rpc
