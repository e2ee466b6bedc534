#include "server/rpc/decision_service.hpp"

#include <fmt/core.h>

#include "server/base/text.hpp"
#include "server/rpc/convert_time.hpp"
#include "server/rpc/unary.hpp"

namespace fixwright::rpc {

namespace {

using grpc::Status;
using grpc::StatusCode;

constexpr std::size_t kLongestBy = 100;

Status nobody_known(const std::string& by) {
  return {StatusCode::INVALID_ARGUMENT,
          fmt::format("by = \"{}\": must say who, on one line of 1 to {} bytes", one_line(by, 40),
                      kLongestBy)};
}

bool is_name(const std::string& by) {
  return !by.empty() && by.size() <= kLongestBy && one_line(by) == by;
}

EmitterDecision wish_of(const decision_v1::DecideRequest& request, DecisionKind kind) {
  EmitterDecision wish;
  wish.by = request.by();
  wish.kind = kind;
  wish.emitter = {request.channel_id(), request.emitter_id()};
  wish.name = request.name();
  wish.note = request.note();
  if (kind == DecisionKind::merge) wish.other = request.other_emitter_id();
  if (kind == DecisionKind::undo) wish.undoes = request.undoes();
  return wish;
}

Status decide(DecisionPort& port, const decision_v1::DecideRequest& request,
              decision_v1::DecideResponse& response) {
  if (!is_name(request.by())) return nobody_known(request.by());
  const auto kind = from_proto(request.kind());
  if (!kind) {
    return {StatusCode::INVALID_ARGUMENT, fmt::format("kind = {}: must be one of DecisionKind",
                                                      static_cast<int>(request.kind()))};
  }
  const auto kept = port.decide(wish_of(request, *kind));
  if (!kept) return {StatusCode::FAILED_PRECONDITION, kept.error()};
  response.set_decision_id(kept->id);
  *response.mutable_decided_at() = to_proto(kept->at);
  response.set_channel_id(kept->emitter.channel);
  response.set_emitter_id(kept->emitter.id);
  return Status::OK;
}

Status acknowledge(DecisionPort& port, const decision_v1::AcknowledgeAlertRequest& request) {
  if (!is_name(request.by())) return nobody_known(request.by());
  if (port.acknowledge_alert(request.alert_id(), request.by())) return Status::OK;
  return {StatusCode::NOT_FOUND,
          fmt::format("alert_id = \"{}\": no alert of that id is open; WatchAlerts gives those "
                      "that are",
                      one_line(request.alert_id(), 100))};
}

}  // namespace

std::optional<DecisionKind> from_proto(decision_v1::DecisionKind kind) {
  switch (kind) {
    case decision_v1::DECISION_KIND_RENAME:
      return DecisionKind::rename;
    case decision_v1::DECISION_KIND_NOTE:
      return DecisionKind::note;
    case decision_v1::DECISION_KIND_WATCH:
      return DecisionKind::watch;
    case decision_v1::DECISION_KIND_UNWATCH:
      return DecisionKind::unwatch;
    case decision_v1::DECISION_KIND_MERGE:
      return DecisionKind::merge;
    case decision_v1::DECISION_KIND_SPLIT:
      return DecisionKind::split;
    case decision_v1::DECISION_KIND_UNDO:
      return DecisionKind::undo;
    default:
      return std::nullopt;
  }
}

grpc::ServerUnaryReactor* DecisionService::Decide(grpc::CallbackServerContext* context,
                                                  const decision_v1::DecideRequest* request,
                                                  decision_v1::DecideResponse* response) {
  return answer(workers_, context, [=, this] { return decide(port_, *request, *response); });
}

grpc::ServerUnaryReactor* DecisionService::AcknowledgeAlert(
    grpc::CallbackServerContext* context, const decision_v1::AcknowledgeAlertRequest* request,
    decision_v1::AcknowledgeAlertResponse* /*response*/) {
  return answer(workers_, context, [=, this] { return acknowledge(port_, *request); });
}

}  // namespace fixwright::rpc
