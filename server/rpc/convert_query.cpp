#include "server/rpc/convert_query.hpp"

#include <fmt/core.h>

#include "server/rpc/convert_enum.hpp"
#include "server/rpc/convert_time.hpp"

namespace fixwright::rpc {

namespace {

query_v1::GeoPoint proto_of(const GeoPoint& p) {
  query_v1::GeoPoint proto;
  proto.set_latitude_deg(p.latitude_deg);
  proto.set_longitude_deg(p.longitude_deg);
  return proto;
}

query_v1::EnCovariance proto_of(const EnCovariance& c) {
  query_v1::EnCovariance proto;
  proto.set_ee_m2(c.ee_m2);
  proto.set_en_m2(c.en_m2);
  proto.set_nn_m2(c.nn_m2);
  return proto;
}

query_v1::ErrorEllipse proto_of(const ErrorEllipse& e) {
  query_v1::ErrorEllipse proto;
  proto.set_semi_major_m(e.semi_major_m);
  proto.set_semi_minor_m(e.semi_minor_m);
  proto.set_orientation_deg(e.orientation_deg);
  proto.set_probability(e.probability);
  return proto;
}

/// Position, covariance, ellipse: all of them, or none where no fix was accepted.
template <typename Proto>
void set_place(const CrossFix& fix, Proto& proto) {
  if (!fix.accepted()) return;
  *proto.mutable_position() = proto_of(fix.position);
  *proto.mutable_covariance() = proto_of(fix.covariance);
  *proto.mutable_ellipse() = proto_of(fix.ellipse);
  proto.set_grade(std::string(to_string(fix.grade)));
}

query_v1::FixBearing proto_of(const FixBearingView& view, const StationNames& names) {
  query_v1::FixBearing proto;
  proto.set_station(names.of(view.part.key.station));
  proto.set_stream_id(view.part.key.stream);
  proto.set_sequence(view.part.key.sequence);
  proto.set_azimuth_deg(view.azimuth_deg);
  proto.set_sigma_deg(view.sigma_deg);
  proto.set_residual_deg(view.part.residual_deg);
  proto.set_used(view.part.used);
  return proto;
}

void set_evidence(const AlertEvidence& evidence, const StationNames& names,
                  query_v1::Alert& proto) {
  for (const StationId id : evidence.stations) proto.add_stations(names.of(id));
  if (evidence.position) *proto.mutable_position() = proto_of(*evidence.position);
  if (evidence.region) *proto.mutable_ellipse() = proto_of(*evidence.region);
  if (evidence.posterior) proto.set_posterior(*evidence.posterior);
  proto.set_would_change(evidence.would_change);
}

void set_match(const RegisterMatch& match, query_v1::Emitter& proto) {
  proto.set_register_verdict(to_proto(match.verdict));
  if (match.licence) proto.set_licence_id(*match.licence);
  if (match.distance_m) proto.set_licence_distance_m(*match.distance_m);
  if (match.frequency_offset_hz) {
    proto.set_licence_frequency_offset_hz(*match.frequency_offset_hz);
  }
  proto.set_register_evidence(match.evidence);
}

}  // namespace

StationNames::StationNames(const std::vector<StationView>& stations) {
  for (const auto& s : stations) names_.emplace(s.station.id, s.station.name);
}

std::string StationNames::of(StationId id) const {
  const auto found = names_.find(id);
  return found == names_.end() ? fmt::format("station {}", id) : found->second;
}

query_v1::Emitter to_proto(const EmitterView& view, const StationNames& names) {
  const Emitter& e = view.emitter;
  query_v1::Emitter proto;
  proto.set_channel_id(e.key.channel);
  proto.set_emitter_id(e.key.id);
  proto.set_revision(e.revision);
  proto.set_state(to_proto(e.state));
  proto.set_motion(to_proto(e.motion));
  set_place(e.fix, proto);
  if (!e.fix.accepted()) proto.set_refusal(std::string(to_string(e.fix.refusal)));
  proto.set_frequency_hz(e.frequency_hz);
  *proto.mutable_first_heard() = to_proto(e.first_heard);
  *proto.mutable_last_heard() = to_proto(e.last_heard);
  proto.set_bearings(e.bearings);
  for (const StationId id : e.stations) proto.add_stations(names.of(id));
  if (e.velocity) proto.set_speed_m_per_s(e.velocity->speed_m_per_s);
  if (e.velocity) proto.set_course_deg(e.velocity->course_deg);
  if (view.match) set_match(*view.match, proto);
  if (view.name) proto.set_name(*view.name);
  return proto;
}

query_v1::Fix to_proto(const FixView& view, const StationNames& names) {
  const Fix& f = view.fix;
  query_v1::Fix proto;
  proto.set_channel_id(f.key.transmission.channel);
  *proto.mutable_transmission_start() = to_proto(f.key.transmission.start);
  proto.set_ordinal(static_cast<std::uint32_t>(f.key.ordinal));
  proto.set_revision(f.revision);
  proto.set_state(to_proto(f.state));
  *proto.mutable_valid_at() = to_proto(f.valid_at);
  proto.set_frequency_hz(f.frequency_hz);
  set_place(f.solution, proto);
  proto.set_chi_square(f.solution.chi_square);
  proto.set_degrees_of_freedom(f.solution.degrees_of_freedom);
  if (!f.solution.accepted()) proto.set_refusal(std::string(to_string(f.solution.refusal)));
  for (const auto& bearing : view.bearings) *proto.add_bearings() = proto_of(bearing, names);
  if (f.emitter) proto.set_emitter_id(f.emitter->id);
  return proto;
}

query_v1::Alert to_proto(const AlertView& view, const StationNames& names) {
  const Alert& a = view.alert;
  query_v1::Alert proto;
  proto.set_alert_id(a.id);
  proto.set_rule(a.rule);
  proto.set_severity(to_proto(a.severity));
  *proto.mutable_raised_at() = to_proto(a.raised_at);
  if (a.emitter) proto.set_channel_id(a.emitter->channel);
  if (a.emitter) proto.set_emitter_id(a.emitter->id);
  if (a.station) proto.set_station(names.of(*a.station));
  proto.set_message(a.message);
  if (view.acknowledged_at) *proto.mutable_acknowledged_at() = to_proto(*view.acknowledged_at);
  if (a.ended_at) *proto.mutable_ended_at() = to_proto(*a.ended_at);
  proto.set_muted(a.muted);
  set_evidence(a.evidence, names, proto);
  return proto;
}

query_v1::Station to_proto(const StationView& view) {
  query_v1::Station proto;
  proto.set_name(view.station.name);
  *proto.mutable_position() = proto_of(view.station.position);
  proto.set_connected(view.connected);
  if (view.last_heartbeat) *proto.mutable_last_heartbeat() = to_proto(*view.last_heartbeat);
  *proto.mutable_clock_error() = to_proto(view.clock_error);
  proto.set_bearings_admitted(view.bearings_admitted);
  proto.set_bearings_refused(view.bearings_refused);
  proto.set_agent_version(view.agent_version);
  return proto;
}

}  // namespace fixwright::rpc
