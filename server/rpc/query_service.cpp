#include "server/rpc/query_service.hpp"

#include <fmt/core.h>

#include <memory>
#include <string>
#include <utility>

#include "server/rpc/convert_query.hpp"
#include "server/rpc/emitter_paging.hpp"
#include "server/rpc/unary.hpp"
#include "server/rpc/watch_stream.hpp"

namespace fixwright::rpc {

namespace {

using grpc::Status;
using grpc::StatusCode;

Status list_emitters(QueryPort& port, const query_v1::ListEmittersRequest& request,
                     query_v1::ListEmittersResponse& response) {
  auto asked = filter_of(request);
  if (!asked) return {StatusCode::INVALID_ARGUMENT, asked.error()};
  EmitterFilter filter = *asked;
  const std::size_t page = filter.limit;
  ++filter.limit;  // one more tells whether there is a next page
  std::vector<EmitterView> views = port.emitters(filter);
  const bool more = views.size() > page;
  if (more) views.resize(page);
  const StationNames names(port.stations());
  for (const auto& view : views) *response.add_emitters() = to_proto(view, names);
  if (more) {
    const Emitter& last = views.back().emitter;
    response.set_next_page_token(page_token({last.last_heard, last.key}));
  }
  return Status::OK;
}

Status get_emitter(QueryPort& port, const query_v1::GetEmitterRequest& request,
                   query_v1::GetEmitterResponse& response) {
  if (request.max_fixes() > kMaxPage) {
    return {
        StatusCode::INVALID_ARGUMENT,
        fmt::format("max_fixes = {}: must be 1 to {}, or 0 for 20", request.max_fixes(), kMaxPage)};
  }
  const EmitterKey key{request.channel_id(), request.emitter_id()};
  const auto view = port.emitter(key);
  if (!view) {
    return {StatusCode::NOT_FOUND,
            fmt::format("no emitter {} on channel {}; ListEmitters gives both numbers", key.id,
                        key.channel)};
  }
  const StationNames names(port.stations());
  *response.mutable_emitter() = to_proto(*view, names);
  const std::size_t limit = request.max_fixes() == 0 ? 20 : request.max_fixes();
  for (const auto& fix : port.fixes(key, limit)) *response.add_fixes() = to_proto(fix, names);
  return Status::OK;
}

Status list_stations(QueryPort& port, query_v1::ListStationsResponse& response) {
  for (const auto& view : port.stations()) *response.add_stations() = to_proto(view);
  return Status::OK;
}

/// Every emitter that is not retired, page by page.
template <typename Each>
void each_emitter(QueryPort& port, const Each& each) {
  EmitterFilter filter;
  filter.limit = kMaxPage;
  for (;;) {
    const std::vector<EmitterView> views = port.emitters(filter);
    for (const auto& view : views) each(view);
    if (views.size() < filter.limit) return;
    filter.after = PagePlace{views.back().emitter.last_heard, views.back().emitter.key};
  }
}

using EmitterStream = WatchStream<query_v1::WatchEmittersResponse>;
using AlertStream = WatchStream<query_v1::WatchAlertsResponse>;

query_v1::WatchEmittersResponse response_of(const EmitterView& view, const StationNames& names) {
  query_v1::WatchEmittersResponse response;
  *response.mutable_emitter() = to_proto(view, names);
  return response;
}

query_v1::WatchAlertsResponse response_of(const AlertView& view, const StationNames& names) {
  query_v1::WatchAlertsResponse response;
  *response.mutable_alert() = to_proto(view, names);
  return response;
}

EmitterStream::Source emitter_source(QueryPort& port) {
  // Stations are configured, not born: the names of the start hold for the whole watch.
  auto names = std::make_shared<StationNames>();
  const auto subscribe = [&port, names](EmitterStream::Push push) {
    *names = StationNames(port.stations());
    return port.watch_emitters(
        [names, push = std::move(push)](const EmitterView& v) { push(response_of(v, *names)); });
  };
  const auto first_answer = [&port, names](const EmitterStream::Push& push) {
    each_emitter(port, [&](const EmitterView& view) { push(response_of(view, *names)); });
  };
  return {subscribe, first_answer};
}

AlertStream::Source alert_source(QueryPort& port) {
  auto names = std::make_shared<StationNames>();
  const auto subscribe = [&port, names](AlertStream::Push push) {
    *names = StationNames(port.stations());
    return port.watch_alerts(
        [names, push = std::move(push)](const AlertView& v) { push(response_of(v, *names)); });
  };
  const auto first_answer = [&port, names](const AlertStream::Push& push) {
    for (const auto& view : port.open_alerts()) push(response_of(view, *names));
  };
  return {subscribe, first_answer};
}

template <typename Stream>
Stream* open_stream(typename Stream::Source source, const QueryParts& parts) {
  const auto stream =
      std::make_shared<Stream>(std::move(source), parts.watch_queue, parts.workers, parts.streams);
  parts.streams.add(stream);
  stream->start();
  return stream.get();
}

}  // namespace

grpc::ServerUnaryReactor* QueryService::ListEmitters(grpc::CallbackServerContext* context,
                                                     const query_v1::ListEmittersRequest* request,
                                                     query_v1::ListEmittersResponse* response) {
  return answer(parts_.workers, context,
                [=, this] { return list_emitters(parts_.port, *request, *response); });
}

grpc::ServerUnaryReactor* QueryService::GetEmitter(grpc::CallbackServerContext* context,
                                                   const query_v1::GetEmitterRequest* request,
                                                   query_v1::GetEmitterResponse* response) {
  return answer(parts_.workers, context,
                [=, this] { return get_emitter(parts_.port, *request, *response); });
}

grpc::ServerUnaryReactor* QueryService::ListStations(
    grpc::CallbackServerContext* context, const query_v1::ListStationsRequest* /*request*/,
    query_v1::ListStationsResponse* response) {
  return answer(parts_.workers, context,
                [=, this] { return list_stations(parts_.port, *response); });
}

grpc::ServerWriteReactor<query_v1::WatchEmittersResponse>* QueryService::WatchEmitters(
    grpc::CallbackServerContext* /*context*/, const query_v1::WatchEmittersRequest* /*request*/) {
  return open_stream<EmitterStream>(emitter_source(parts_.port), parts_);
}

grpc::ServerWriteReactor<query_v1::WatchAlertsResponse>* QueryService::WatchAlerts(
    grpc::CallbackServerContext* /*context*/, const query_v1::WatchAlertsRequest* /*request*/) {
  return open_stream<AlertStream>(alert_source(parts_.port), parts_);
}

}  // namespace fixwright::rpc
