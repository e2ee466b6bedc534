#include "server/rpc/query_client.hpp"

#include <fmt/core.h>
#include <grpcpp/grpcpp.h>

#include <numeric>

#include "fixwright/query/v1/query.grpc.pb.h"
#include "server/rpc/convert_enum.hpp"
#include "server/rpc/convert_time.hpp"

namespace fixwright::rpc {

namespace {

constexpr std::chrono::seconds kDeadline{5};  // as query.proto asks of callers

/// Why there is no position, as the server says it.
Refusal refusal_of(const query_v1::Emitter& proto) {
  for (const Refusal r : {Refusal::one_station, Refusal::no_crossing, Refusal::poor_geometry,
                          Refusal::ambiguous, Refusal::inconsistent, Refusal::out_of_range}) {
    if (to_string(r) == proto.refusal()) return r;
  }
  return Refusal::unbounded;
}

CrossFix fix_of(const query_v1::Emitter& proto) {
  CrossFix fix;
  if (!proto.has_position()) {
    fix.refusal = refusal_of(proto);
    return fix;
  }
  fix.position = {proto.position().latitude_deg(), proto.position().longitude_deg()};
  fix.ellipse = {proto.ellipse().semi_major_m(), proto.ellipse().semi_minor_m(),
                 proto.ellipse().orientation_deg(), proto.ellipse().probability()};
  return fix;
}

std::optional<RegisterMatch> match_of(const query_v1::Emitter& proto, EmitterKey key) {
  const auto verdict = from_proto(proto.register_verdict());
  if (!verdict) return std::nullopt;
  RegisterMatch match;
  match.emitter = key;
  match.verdict = *verdict;
  if (proto.has_licence_id()) match.licence = proto.licence_id();
  if (proto.has_licence_distance_m()) match.distance_m = proto.licence_distance_m();
  if (proto.has_licence_frequency_offset_hz()) {
    match.frequency_offset_hz = proto.licence_frequency_offset_hz();
  }
  match.evidence = proto.register_evidence();
  return match;
}

EmitterView view_of(const query_v1::Emitter& proto) {
  EmitterView view;
  Emitter& e = view.emitter;
  e.key = {proto.channel_id(), proto.emitter_id()};
  e.revision = proto.revision();
  e.state = from_proto(proto.state()).value_or(EmitterState::tentative);
  e.fix = fix_of(proto);
  e.frequency_hz = proto.frequency_hz();
  e.first_heard = from_proto(proto.first_heard());
  e.last_heard = from_proto(proto.last_heard());
  e.bearings = proto.bearings();
  e.stations.resize(static_cast<std::size_t>(proto.stations_size()));
  std::iota(e.stations.begin(), e.stations.end(), 1);
  if (proto.has_speed_m_per_s()) {
    e.motion = Motion::moving;
    e.velocity = Velocity{proto.speed_m_per_s(), proto.course_deg(), 0.0};
  }
  view.match = match_of(proto, e.key);
  if (proto.has_name()) view.name = proto.name();
  return view;
}

}  // namespace

struct QueryClient::Impl {
  std::string address;
  std::unique_ptr<query_v1::QueryService::Stub> stub;
};

QueryClient::QueryClient(const std::string& address) : impl_(std::make_unique<Impl>()) {
  impl_->address = address;
  impl_->stub = query_v1::QueryService::NewStub(
      grpc::CreateChannel(address, grpc::InsecureChannelCredentials()));
}

QueryClient::~QueryClient() = default;

Result<std::vector<EmitterView>> QueryClient::emitters(std::size_t limit) {
  query_v1::ListEmittersRequest request;
  request.set_page_size(static_cast<std::uint32_t>(limit));
  query_v1::ListEmittersResponse response;
  grpc::ClientContext context;
  context.set_deadline(std::chrono::system_clock::now() + kDeadline);
  const grpc::Status status = impl_->stub->ListEmitters(&context, request, &response);
  if (!status.ok()) {
    return Error{fmt::format("server {}: {}: is it running, and is this its address?",
                             impl_->address, status.error_message())};
  }
  std::vector<EmitterView> views;
  for (const auto& emitter : response.emitters()) views.push_back(view_of(emitter));
  return views;
}

}  // namespace fixwright::rpc
