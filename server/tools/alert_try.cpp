#include "server/tools/alert_try.hpp"

#include <fmt/core.h>

#include <map>
#include <vector>

#include "server/app/result_judge.hpp"
#include "server/app/server_config.hpp"
#include "server/base/clock.hpp"
#include "server/report/table.hpp"
#include "server/store/alert_book.hpp"
#include "server/store/bearing_store.hpp"
#include "server/store/calibration_book.hpp"
#include "server/store/decision_book.hpp"
#include "server/store/reader.hpp"
#include "server/tools/given_time.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

/// Results are taken so often, in event time.
constexpr Duration kStep = std::chrono::seconds{10};

Stations calibrated_stations(store::Database& database) {
  Stations stations = store::Reader(database).stations();
  for (auto& [id, calibrations] : store::CalibrationBook(database).accepted()) {
    if (const auto known = stations.find(id); known != stations.end()) {
      known->second.calibrations = calibrations;
    }
  }
  return stations;
}

app::ResultJudge make_judge(store::Database& database, const app::ServerConfig& config,
                            const Stations& stations, TimePoint since) {
  app::KnownRegister known = app::load_register(database, config.register_rules);
  register_::RegisterDecisions decisions(known.licences);
  decisions.replace(std::move(known.licences), std::move(known.opinions));
  const auto marks = store::DecisionBook(database).marks();
  alert::AlertEngine engine(
      config.alert,
      [stations](StationId id) {
        const auto found = stations.find(id);
        return found == stations.end() ? fmt::format("station {}", id) : found->second.name;
      },
      [marks](EmitterKey key) {
        const auto found = marks.find(key);
        return found != marks.end() && found->second.watched;
      });
  engine.apply(store::AlertBook(database).settings());
  engine.expect_references(since);
  return {std::move(decisions), std::move(engine)};
}

/// Plays bearings in their order; the clock is the newest of them.
class Trial {
 public:
  Trial(app::Pipeline pipeline, app::ResultJudge judge)
      : pipeline_(std::move(pipeline)), judge_(std::move(judge)) {}

  void play(const Bearing& bearing) {
    ++bearings_;
    pipeline_.bearing(bearing);
    if (bearing.end() < next_) return;
    next_ = bearing.end() + kStep;
    pipeline_.tick(bearing.end());
    take(judge_.tick(bearing.end()));
    settle();
  }

  void finish() {
    pipeline_.finish();
    settle();
  }

  [[nodiscard]] std::size_t bearings() const { return bearings_; }
  /// As they are in the end, in the order in which they were raised.
  [[nodiscard]] std::vector<Alert> alerts() const {
    std::multimap<TimePoint, Alert> by_time;
    for (const auto& [id, alert] : by_id_) by_time.emplace(alert.raised_at, alert);
    std::vector<Alert> all;
    for (auto& [at, alert] : by_time) all.push_back(alert);
    return all;
  }

 private:
  void settle() { take(judge_.judge(pipeline_.take()).alerts); }
  void take(std::vector<Alert> alerts) {
    for (Alert& a : alerts) by_id_.insert_or_assign(a.id, a);
  }

  app::Pipeline pipeline_;
  app::ResultJudge judge_;
  TimePoint next_;
  std::size_t bearings_ = 0;
  std::map<std::string, Alert> by_id_;
};

void print(const Trial& trial, std::ostream& out) {
  std::vector<std::vector<std::string>> rows{{"RAISED", "SEVERITY", "RULE", "SAYS"}};
  for (const Alert& a : trial.alerts()) {
    rows.push_back({format_rfc3339(a.raised_at, 0), std::string(to_string(a.severity)), a.rule,
                    a.muted ? "(muted) " + a.message : a.message});
  }
  out << report::text_table(rows);
  out << fmt::format(
      "{} alerts would have been raised by {} bearings. Rules about heartbeats, drift, disks and "
      "the database are not tried: these are not stored.\n",
      rows.size() - 1, trial.bearings());
}

int try_rules(store::Database& database, const app::ServerConfig& config, TimePoint since,
              TimePoint until, std::ostream& out, std::ostream& err) {
  const Stations stations = calibrated_stations(database);
  Trial trial(app::Pipeline(config.pipeline, stations),
              make_judge(database, config, stations, since));
  store::BearingStore(database).read(since, until, [&](const Bearing& b) { trial.play(b); });
  trial.finish();
  if (trial.bearings() == 0) {
    err << fmt::format("alert try: there are no bearings from {} to {}\n", format_rfc3339(since, 0),
                       format_rfc3339(until, 0));
    return 1;
  }
  print(trial, out);
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
