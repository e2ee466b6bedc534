#pragma once
/// Everything an operator can set, read from one TOML file: deploy/config/server.toml shows
/// every key with its default, unit and range.

#include <filesystem>
#include <string>
#include <vector>

#include "server/alert/rules.hpp"
#include "server/app/drift_watch.hpp"
#include "server/app/notify_config.hpp"
#include "server/app/pipeline/pipeline.hpp"
#include "server/base/config.hpp"
#include "server/base/log.hpp"
#include "server/calibrate/acceptance.hpp"
#include "server/ingest/admission.hpp"
#include "server/model/channel.hpp"
#include "server/model/station.hpp"
#include "server/register/rules.hpp"
#include "server/rpc/server.hpp"
#include "server/store/database.hpp"
#include "server/web/http/http_server.hpp"

namespace fixwright::app {

struct IngestConfig {
  ingest::AdmissionRules admission;
  rpc::Limits limits;
  Duration heartbeat_interval = std::chrono::seconds{1};
  double max_position_offset_m = 100.0;  // of an agent's own position from the registered one
};

struct ServerConfig {
  log::Level log_level = log::Level::info;
  store::DatabaseRules database;
  rpc::ServerRules rpc;
  web::HttpRules web;
  IngestConfig ingest;
  PipelineRules pipeline;
  register_::RegisterRules register_rules;
  alert::AlertRules alert;
  NotifyConfig notify;
  DriftWatchRules drift;
  calibrate::AcceptanceRules acceptance;
  std::vector<std::string> disks;  // a path on each that is to be watched
  Duration recover{};              // how far back the pipeline is fed from the history at start
  std::vector<Station> stations;   // ids not given yet
  std::vector<Channel> channels;
  double raster_hz = 0.0;
};

/// \return the configuration, or every mistake in the file, one a line.
Result<ServerConfig> read_server_config(const std::filesystem::path& path);

}  // namespace fixwright::app
