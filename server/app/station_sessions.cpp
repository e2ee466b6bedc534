#include "server/app/station_sessions.hpp"

#include <fmt/core.h>

#include "server/base/log.hpp"
#include "server/geodesy/geodesic.hpp"

namespace fixwright::app {

namespace {

constexpr double kRateWindow_s = 10.0;  // as station.proto says of max_bearings_per_second

}  // namespace

/// Calls of one session come one at a time, except done(), which comes from the writer.
struct StationSessions::Session {
  Session(rpc::SessionId session, Station registered, ingest::Admission admit)
      : id(session), station(std::move(registered)), admission(std::move(admit)) {}

  const rpc::SessionId id;
  const Station station;
  ingest::Admission admission;
  std::atomic<std::size_t> in_flight{0};

  std::mutex closing;  // held while done() runs, so that close() can wait for it
  bool closed = false;
};

StationSessions::StationSessions(const Stations& stations, const IngestConfig& config,
                                 Duration keepalive, Parts parts)
    : config_(config), keepalive_(keepalive), parts_(std::move(parts)) {
  for (const auto& [id, station] : stations) {
    stations_.emplace(station.name, station);
    limiters_.emplace(id, std::make_unique<ingest::RateLimiter>(
                              config.limits.max_bearings_per_second, kRateWindow_s, parts_.clock));
  }
}

StationSessions::~StationSessions() = default;

std::optional<rpc::OpenDenied> StationSessions::position_problem(
    const Station& station, const rpc::HelloRequest& hello) const {
  if (!hello.position || station.moves) return std::nullopt;
  const double offset_m = geodesy::inverse(station.position, *hello.position).range_m;
  if (offset_m <= config_.max_position_offset_m) return std::nullopt;
  return rpc::OpenDenied{
      rpc::OpenRefusal::disagrees,
      fmt::format("station {}: the agent says it stands {:.0f} m from its registered place, at "
                  "most {:.0f} m are allowed (ingest.max_position_offset_m): mend the position in "
                  "the agent's configuration or in the server's",
                  station.name, offset_m, config_.max_position_offset_m)};
}

rpc::Grant StationSessions::grant(rpc::SessionId id, std::uint64_t acknowledged) const {
  rpc::Grant grant;
  grant.session = id;
  grant.acknowledged_sequence = acknowledged;
  grant.plan.channels.assign(parts_.channels.plan().begin(), parts_.channels.plan().end());
  grant.plan.raster_hz = parts_.channels.raster_hz();
  grant.limits = config_.limits;
  grant.heartbeat_interval = config_.heartbeat_interval;
  grant.keepalive_interval = keepalive_;
  return grant;
}

std::shared_ptr<StationSessions::Session> StationSessions::add_session(
    const Station& station, const rpc::HelloRequest& hello) {
  ingest::Admission admission(station, hello.stream, config_.admission, parts_.channels,
                              *limiters_.at(station.id), parts_.clock, parts_.metrics);
  const std::lock_guard lock(mutex_);
  const rpc::SessionId id = ++last_session_;
  auto session = std::make_shared<Session>(id, station, std::move(admission));
  sessions_.emplace(id, session);
  return session;
}

std::variant<rpc::Grant, rpc::OpenDenied> StationSessions::open(const rpc::HelloRequest& hello) {
  const auto found = stations_.find(hello.station);
  if (found == stations_.end()) {
    return rpc::OpenDenied{rpc::OpenRefusal::unknown_station,
                           fmt::format("station {} is not known here: the server's operator adds "
                                       "it as [[station]] to the configuration",
                                       hello.station)};
  }
  const Station& station = found->second;
  if (auto problem = position_problem(station, hello)) return *problem;
  std::uint64_t acknowledged = 0;
  try {
    acknowledged = parts_.log.mark(station.id, hello.stream);
  } catch (const std::exception& away) {
    return rpc::OpenDenied{rpc::OpenRefusal::unavailable, away.what()};
  }
  if (!parts_.board.connect(station.id, hello.agent_version)) {
    return rpc::OpenDenied{rpc::OpenRefusal::already_connected,
                           fmt::format("station {}: another agent is connected under this name; "
                                       "stop one of them",
                                       station.name)};
  }
  const auto session = add_session(station, hello);
  log::info("station {} connected from {}, agent {}, stream {:016x} from sequence {}", station.name,
            hello.peer, hello.agent_version, hello.stream, acknowledged + 1);
  return grant(session->id, acknowledged);
}

void StationSessions::submit(rpc::SessionId id, std::vector<Bearing> bearings,
                             std::function<void(rpc::BatchOutcome)> done) {
  const auto session = find(id);
  if (!session) return;
  const std::size_t count = bearings.size();
  if (session->in_flight + count > config_.limits.max_in_flight) {
    done(rpc::BatchDenied{true, fmt::format("station {}: more than {} bearings unacknowledged "
                                            "(limits.max_in_flight)",
                                            session->station.name, config_.limits.max_in_flight)});
    return;
  }
  session->in_flight += count;

  PendingBatch batch;
  rpc::BatchDone outcome;
  for (Bearing& candidate : bearings) {
    auto admitted = session->admission.admit(std::move(candidate));
    if (auto* bearing = std::get_if<Bearing>(&admitted)) {
      batch.bearings.push_back(std::move(*bearing));
      continue;
    }
    auto& refused = std::get<ingest::BearingRefusal>(admitted);
    outcome.refusals.push_back(
        {refused.key.sequence, std::string(to_string(refused.reason)), refused.message});
  }
  outcome.acknowledged_sequence = session->admission.handled_sequence();
  parts_.board.count(session->station.id, batch.bearings.size(), outcome.refusals.size());
  batch.done = [session, count, outcome = std::move(outcome), done = std::move(done)] {
    session->in_flight -= count;
    const std::lock_guard lock(session->closing);
    if (!session->closed) done(outcome);
  };
  parts_.writer.push(std::move(batch));
}

void StationSessions::heartbeat(rpc::SessionId id, const Heartbeat& sent) {
  const auto session = find(id);
  if (!session) return;
  Heartbeat heartbeat = sent;
  heartbeat.station = session->station.id;
  heartbeat.received_at = parts_.clock.now();
  if (const auto problem = session->admission.heartbeat_problem(heartbeat)) {
    log::warn("{}", *problem);
    return;
  }
  parts_.board.heartbeat(heartbeat);
  if (parts_.writer.stalled()) return;
  // Through the writer's queue, behind the bearings it speaks of.
  parts_.writer.push({{}, [this, heartbeat] { parts_.heartbeat(heartbeat); }});
}

void StationSessions::close(rpc::SessionId id) {
  const auto session = find(id);
  if (!session) return;
  {
    const std::lock_guard lock(session->closing);
    session->closed = true;
  }
  {
    const std::lock_guard lock(mutex_);
    sessions_.erase(id);
  }
  parts_.board.disconnect(session->station.id);
  log::info("station {} disconnected", session->station.name);
}

std::shared_ptr<StationSessions::Session> StationSessions::find(rpc::SessionId id) {
  const std::lock_guard lock(mutex_);
  const auto found = sessions_.find(id);
  return found == sessions_.end() ? nullptr : found->second;
}

}  // namespace fixwright::app
