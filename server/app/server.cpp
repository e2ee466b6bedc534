#include "server/app/server.hpp"

#include <fmt/core.h>

#include <exception>
#include <filesystem>
#include <fstream>
#include <optional>
#include <sstream>

#include "server/app/alert_settings_watch.hpp"
#include "server/app/bearing_writer.hpp"
#include "server/app/calibration_watch.hpp"
#include "server/app/courier.hpp"
#include "server/app/database_watch.hpp"
#include "server/app/decider.hpp"
#include "server/app/decision_watch.hpp"
#include "server/app/drift_watch.hpp"
#include "server/app/host_watch.hpp"
#include "server/app/pipeline_runner.hpp"
#include "server/app/register_watch.hpp"
#include "server/app/station_sessions.hpp"
#include "server/app/views.hpp"
#include "server/base/log.hpp"
#include "server/store/alert_book.hpp"
#include "server/store/bearing_store.hpp"
#include "server/store/calibration_book.hpp"
#include "server/store/decision_book.hpp"
#include "server/store/recompute_book.hpp"
#include "server/store/schema.hpp"
#include "server/store/small_tables.hpp"

namespace fixwright::app {

namespace {

constexpr Duration kDrainPatience = std::chrono::seconds{5};

alert::StationNames station_names(const Stations& stations) {
  return [stations](StationId id) {
    const auto found = stations.find(id);
    return found == stations.end() ? fmt::format("station {}", id) : found->second.name;
  };
}

/// What the page draws it can draw without roads too: one that can't be read costs a line.
std::vector<report::Road> roads_of(const std::filesystem::path& basemap) {
  if (basemap.empty()) return {};
  std::ostringstream text;
  text << std::ifstream(basemap, std::ios::binary).rdbuf();
  auto roads = report::roads_in(text.str());
  if (roads) return *std::move(roads);
  log::warn("web: {}: {}; ways are told without roads", basemap.string(), roads.error());
  return {};
}

/// The judge with what it had decided before the last stop.
ResultJudge make_judge(const ServerConfig& config, const Stations& stations, store::Reader& reader,
                       KnownRegister known, AlertSettings settings, const MarksBoard& marks,
                       TimePoint now) {
  register_::RegisterDecisions decisions(known.licences);
  EmitterFilter all;
  all.limit = 1'000'000;
  for (const EmitterView& view : reader.emitters(all)) {
    if (view.match) decisions.restore(*view.match, view.emitter);
  }
  decisions.replace(std::move(known.licences), std::move(known.opinions));
  alert::AlertEngine alerts(config.alert, station_names(stations),
                            [&marks](EmitterKey key) { return marks.is_watched(key); });
  alerts.apply(std::move(settings));
  for (const AlertView& view : reader.lasting_alerts()) alerts.restore(view.alert);
  for (const auto& [id, station] : stations) alerts.expect(id, now);
  alerts.expect_references(now);
  std::vector<alert::DeliveryRule> destinations;
  for (const DestinationConfig& d : config.notify.destinations) destinations.push_back(d.rule);
  return {std::move(decisions), std::move(alerts), std::move(destinations)};
}

/// Emitters that were known at the last stop, however long ago they were heard.
void restore_memories(Pipeline& pipeline, store::Reader& reader, Duration recover) {
  std::size_t count = 0;
  for (const ChannelMemory& memory : reader.memories()) {
    const auto restored = pipeline.restore(memory);
    if (restored) {
      count += *restored;
      continue;
    }
    log::warn(
        "channel {}: what was remembered of its emitters can't be used ({}): they are found anew "
        "from the bearings of the last {} h (recover.hours)",
        memory.channel, restored.error(), seconds(recover) / 3600.0);
  }
  if (count > 0) log::info("{} emitters are remembered", count);
}

}  // namespace

/// In order of construction; destroyed in reverse.
struct Server::Parts {
  Parts(const ServerConfig& given, const Clock& time, ingest::ChannelMap map)
      : config(given), clock(time), channels(std::move(map)), database(given.database) {}

  void open_database();
  void recover();
  void start_threads();
  Result<Endpoints> start_services();
  void database_changed(bool answers);

  const ServerConfig config;
  const Clock& clock;
  Metrics metrics;
  ingest::ChannelMap channels;
  store::Database database;
  Stations stations;
  Calibrations accepted;

  Hub<EmitterView> emitter_hub;
  Hub<AlertView> alert_hub;
  MarksBoard marks;
  RecentBearings recent;
  std::optional<StationBoard> board;
  std::optional<store::BearingStore> log;
  std::optional<store::ResultWriter> results;
  std::optional<PipelineRunner> runner;
  std::optional<BearingWriter> writer;
  std::optional<StationSessions> sessions;
  Decider decider{database, clock};
  std::optional<QueryViews> query_views;
  std::optional<PageViews> page_views;
  std::optional<rpc::Server> rpc;
  std::unique_ptr<web::HttpServer> web;
  std::optional<DatabaseWatch> watch;
  std::optional<DecisionWatch> decisions;
  std::optional<RegisterWatch> register_watch;
  store::RegisterState register_state;
  std::optional<CalibrationWatch> calibrations;
  std::optional<AlertSettingsWatch> settings_watch;
  std::optional<HostWatch> host_watch;
  std::optional<DriftWatch> drift_watch;
  std::optional<Courier> courier;
  Endpoints endpoints;
};

/// Throws when the database is away or not ours.
void Server::Parts::open_database() {
  store::check_schema(database);
  if (store::RecomputeBook(database).running()) {
    throw store::DatabaseRefused(
        "history is being recomputed in this database: start the server when that is done.");
  }
  stations = store::register_stations(database, config.stations);
  accepted = store::CalibrationBook(database).accepted();
  for (auto& [id, station] : stations) {
    if (const auto known = accepted.find(id); known != accepted.end()) {
      station.calibrations = known->second;
    }
  }
  store::register_channels(database, channels.plan());
  board.emplace(stations);
  log.emplace(database);
  results.emplace(database);
  log->make_days(clock.now() - std::chrono::days{1}, clock.now() + std::chrono::days{2});
}

/// Feeds the pipeline from the history, so that it knows what it knew before the last stop.
void Server::Parts::recover() {
  store::Reader reader(database);
  Pipeline pipeline(config.pipeline, stations, reader.highest_revision() + 1);
  pipeline.redirect(store::DecisionBook(database).redirects());
  restore_memories(pipeline, reader, config.recover);
  KnownRegister known = load_register(database, config.register_rules);
  register_state = known.state;
  const AlertSettings alert_settings = store::AlertBook(database).settings();
  runner.emplace(
      std::move(pipeline),
      make_judge(config, stations, reader, std::move(known), alert_settings, marks, clock.now()),
      RunnerRules{},
      PipelineRunner::Parts{*results, emitter_hub, alert_hub, marks, clock, metrics,
                            [this] { return writer && writer->stalled(); }});
  decisions.emplace(DecisionWatch::Parts{database, marks, emitter_hub,
                                         [this](Redirects r) { runner->push(std::move(r)); }});
  settings_watch.emplace(database, alert_settings,
                         [this](AlertSettings s) { runner->push(std::move(s)); });
  calibrations.emplace(database, clock, config.acceptance, accepted,
                       [this](Calibrations c) { runner->push(std::move(c)); });
  std::size_t count = 0;
  const TimePoint now = clock.now();
  results->withdraw_pending(now - config.recover);
  log->read(now - config.recover, now + std::chrono::hours{1}, [&](const Bearing& bearing) {
    runner->recover(bearing);
    ++count;
  });
  if (count > 0) log::info("recovered from {} bearings of the history", count);
}

void Server::Parts::start_threads() {
  writer.emplace(*log, WriterRules{}, metrics, [this](std::vector<Bearing> stored) {
    recent.add(stored);
    runner->push(std::move(stored));
  });
  runner->start();
  register_watch.emplace(database, config.register_rules, register_state,
                         [this](KnownRegister known) { runner->push(std::move(known)); });
  courier.emplace(config.notify, notify::Surroundings{station_names(stations), config.notify.page},
                  database, clock, metrics);
  drift_watch.emplace(config.drift, database, clock,
                      [this](CalibrationDrift d) { runner->push(std::move(d)); });
  host_watch.emplace(config.disks, database, clock,
                     [this](HostState state) { runner->push(std::move(state)); });
}

void Server::Parts::database_changed(bool answers) {
  if (answers) {
    log::info("store: the database answers");
  } else {
    log::warn("store: lost the database; nothing is acknowledged until it answers again");
  }
  rpc->set_ready(answers);
}

Result<Endpoints> Server::Parts::start_services() {
  sessions.emplace(stations, config.ingest, config.rpc.keepalive,
                   StationSessions::Parts{channels, *log, *writer, *board, clock, metrics,
                                          [this](const Heartbeat& h) { runner->push(h); }});
  const ViewSources sources{database,    *board,    recent,
                            emitter_hub, alert_hub, roads_of(config.web.basemap_file)};
  query_views.emplace(sources);
  page_views.emplace(sources);
  rpc.emplace(config.rpc, *sessions, *query_views, decider, metrics);
  const Result<int> rpc_port = rpc->start();
  if (!rpc_port) return Error{rpc_port.error()};
  watch.emplace([this] { return page_views->database_ready(); },
                [this](bool answers) { database_changed(answers); });
  auto http = web::HttpServer::start(config.web, *page_views, metrics);
  if (!http) return Error{http.error()};
  web = std::move(http).value();
  return Endpoints{*rpc_port, web->port()};
}

Result<std::unique_ptr<Server>> Server::start(const ServerConfig& config, const Clock& clock) {
  auto channels = ingest::ChannelMap::make(config.channels, config.raster_hz);
  if (!channels) return Error{channels.error()};
  std::unique_ptr<Parts> parts;
  try {
    parts = std::make_unique<Parts>(config, clock, std::move(channels).value());
    parts->open_database();
    parts->recover();
  } catch (const std::exception& problem) {
    return Error{fmt::format("{} Nothing was started.", problem.what())};
  }
  parts->start_threads();
  const Result<Endpoints> endpoints = parts->start_services();
  std::unique_ptr<Server> server(new Server(std::move(parts)));
  if (endpoints) {
    server->parts_->endpoints = *endpoints;
    return server;
  }
  server->stop();
  return Error{endpoints.error()};
}

Server::Server(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}
Server::~Server() = default;

Endpoints Server::endpoints() const { return parts_->endpoints; }

void Server::stop() {
  parts_->watch.reset();
  parts_->decisions.reset();
  parts_->register_watch.reset();
  parts_->calibrations.reset();
  parts_->settings_watch.reset();
  parts_->host_watch.reset();
  parts_->drift_watch.reset();
  parts_->courier.reset();
  if (parts_->web) parts_->web->stop();
  if (parts_->rpc) parts_->rpc->drain_and_stop(kDrainPatience);
  parts_->writer->stop();
  parts_->runner->stop();
}

}  // namespace fixwright::app
