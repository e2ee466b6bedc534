#pragma once
/// What is stored, played through the stages again as if it came now.

#include <cstddef>
#include <functional>
#include <optional>

#include "server/app/pipeline/pipeline.hpp"
#include "server/app/result_judge.hpp"
#include "server/app/server_config.hpp"
#include "server/model/station.hpp"
#include "server/store/database.hpp"

namespace fixwright::tools {

/// The stations of the database with the calibrations that were accepted.
Stations calibrated_stations(store::Database& database);

/// The register and the rules of alerts as they now are, what people said among them, and no
/// emitter judged yet. References are expected from `since` on.
app::ResultJudge stored_judge(store::Database& database, const app::ServerConfig& config,
                              const Stations& stations, TimePoint since);

/// Plays bearings in their order; the clock is the newest of them, and results are taken every
/// 10 s of it.
class Playback {
 public:
  using Taken = std::function<void(const app::PipelineOutput&, const app::Judgement&)>;

  /// \param judge  nothing: who listens needs no judgement.
  Playback(app::Pipeline pipeline, std::optional<app::ResultJudge> judge, Taken taken)
      : pipeline_(std::move(pipeline)), judge_(std::move(judge)), taken_(std::move(taken)) {}

  void play(const Bearing& bearing);
  /// Time passes without a bearing.
  void wait_until(TimePoint now);
  /// No bearing will come: everything is final.
  void finish();

  [[nodiscard]] std::size_t bearings() const { return bearings_; }

 private:
  void take(app::Judgement judgement);

  app::Pipeline pipeline_;
  std::optional<app::ResultJudge> judge_;
  Taken taken_;
  TimePoint next_;
  std::size_t bearings_ = 0;
};

}  // namespace fixwright::tools
