#include "server/tools/alert_try.hpp"

#include <fmt/core.h>

#include <map>
#include <vector>

#include "server/app/server_config.hpp"
#include "server/base/clock.hpp"
#include "server/report/table.hpp"
#include "server/store/bearing_store.hpp"
#include "server/tools/given_time.hpp"
#include "server/tools/stored_history.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

/// Alerts that would have been raised.
class Trial {
 public:
  void take(const std::vector<Alert>& alerts) {
    for (const Alert& a : alerts) by_id_.insert_or_assign(a.id, a);
  }

  /// As they are in the end, in the order in which they were raised.
  [[nodiscard]] std::vector<Alert> alerts() const {
    std::multimap<TimePoint, Alert> by_time;
    for (const auto& [id, alert] : by_id_) by_time.emplace(alert.raised_at, alert);
    std::vector<Alert> all;
    for (auto& [at, alert] : by_time) all.push_back(alert);
    return all;
  }

 private:
  std::map<std::string, Alert> by_id_;
};

void print(const Trial& trial, std::size_t bearings, std::ostream& out) {
  std::vector<std::vector<std::string>> rows{{"RAISED", "SEVERITY", "RULE", "SAYS"}};
  for (const Alert& a : trial.alerts()) {
    rows.push_back({format_rfc3339(a.raised_at, 0), std::string(to_string(a.severity)), a.rule,
                    a.muted ? "(muted) " + a.message : a.message});
  }
  out << report::text_table(rows);
  out << fmt::format(
      "{} alerts would have been raised by {} bearings. Rules about heartbeats, drift, disks and "
      "the database are not tried: these are not stored.\n",
      rows.size() - 1, bearings);
}

int try_rules(store::Database& database, const app::ServerConfig& config, TimePoint since,
              TimePoint until, std::ostream& out, std::ostream& err) {
  const Stations stations = calibrated_stations(database);
  Trial trial;
  Playback playback(app::Pipeline(config.pipeline, stations),
                    stored_judge(database, config, stations, since),
                    [&](const app::PipelineOutput&, const app::Judgement& judgement) {
                      trial.take(judgement.alerts);
                    });
  store::BearingStore(database).read(since, until, [&](const Bearing& b) { playback.play(b); });
  playback.finish();
  if (playback.bearings() == 0) {
    err << fmt::format("alert try: there are no bearings from {} to {}\n", format_rfc3339(since, 0),
                       format_rfc3339(until, 0));
    return 1;
  }
  print(trial, playback.bearings(), out);
  return 0;
}

}  // namespace

int run_alert_try(const AlertTryOptions& options, std::ostream& out, std::ostream& err) {
  const TimePoint now = SystemClock().now();
  const auto since = given_time("--since", options.since, now, err);
  const auto until = given_time("--until", options.until, now, err);
  if (!since || !until) return 2;
  const auto config = app::read_server_config(options.config);
  if (!config) {
    err << config.error() << '\n';
    return 2;
  }
  return with_database("alert", options.database, err, [&](store::Database& database) {
    return try_rules(database, *config, *since, *until, out, err);
  });
}

}  // namespace fixwright::tools
