#include "server/tools/stored_history.hpp"

#include <fmt/core.h>

#include <utility>
#include <vector>

#include "server/store/alert_book.hpp"
#include "server/store/calibration_book.hpp"
#include "server/store/decision_book.hpp"
#include "server/store/reader.hpp"

namespace fixwright::tools {

namespace {

/// Results are taken so often, in event time.
constexpr Duration kStep = std::chrono::seconds{10};

}  // namespace

Stations calibrated_stations(store::Database& database) {
  Stations stations = store::Reader(database).stations();
  for (auto& [id, calibrations] : store::CalibrationBook(database).accepted()) {
    if (const auto known = stations.find(id); known != stations.end()) {
      known->second.calibrations = calibrations;
    }
  }
  return stations;
}

app::ResultJudge stored_judge(store::Database& database, const app::ServerConfig& config,
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

void Playback::play(const Bearing& bearing) {
  ++bearings_;
  pipeline_.bearing(bearing);
  if (bearing.end() < next_) return;
  next_ = bearing.end() + kStep;
  wait_until(bearing.end());
}

void Playback::wait_until(TimePoint now) {
  pipeline_.tick(now);
  app::Judgement judgement;
  if (judge_) judgement.alerts = judge_->tick(now);
  take(std::move(judgement));
}

void Playback::finish() {
  pipeline_.finish();
  take({});
}

void Playback::take(app::Judgement judgement) {
  const app::PipelineOutput output = pipeline_.take();
  app::Judgement more = judge_ ? judge_->judge(output) : app::Judgement{};
  judgement.matches = std::move(more.matches);
  for (Alert& alert : more.alerts) judgement.alerts.push_back(std::move(alert));
  taken_(output, judgement);
}

}  // namespace fixwright::tools
