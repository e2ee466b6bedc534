#include "server/tools/recompute_command.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <chrono>
#include <functional>
#include <optional>
#include <string_view>
#include <utility>

#include "server/app/server_config.hpp"
#include "server/base/clock.hpp"
#include "server/store/bearing_store.hpp"
#include "server/store/decision_book.hpp"
#include "server/store/recompute_book.hpp"
#include "server/tools/given_time.hpp"
#include "server/tools/recompute_harvest.hpp"
#include "server/tools/recompute_identities.hpp"
#include "server/tools/stored_history.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

constexpr std::size_t kProgress = 1'000'000;  // bearings from one line to the next

/// Ends a run in which there is nothing to do; never leaves this file.
struct NothingHeard {};

/// All that is stored, played into `sink`: once to see who is who, once to write it.
class Replay {
 public:
  Replay(store::Database& database, const app::ServerConfig& config,
         const RecomputeOptions& options, TimePoint since, std::ostream& err)
      : database_(database),
        config_(config),
        options_(options),
        since_(since),
        err_(err),
        stations_(calibrated_stations(database)),
        redirects_(store::DecisionBook(database).redirects()),
        judge_(stored_judge(database, config, stations_, TimePoint{})) {}

  void run(store::RecomputeSink& sink, TimePoint now) {
    Identities identities = who_is_who(sink, now);
    app::Pipeline pipeline(config_.pipeline, stations_, sink.first_revision());
    pipeline.identify(std::move(identities));
    pipeline.redirect(redirects_);
    RecomputeHarvest harvest(sink, since_);
    play({std::move(pipeline), std::move(judge_),
          [&](const app::PipelineOutput& output, const app::Judgement& judgement) {
            harvest.take(output, judgement);
          }},
         "writing", now);
    harvest.finish();
    warn_of_dropped(sink);
  }

  [[nodiscard]] std::size_t bearings() const { return bearings_; }

 private:
  /// People's merges come later: what was shown as another's is heard as its own here.
  Identities who_is_who(store::RecomputeSink& sink, TimePoint now) {
    HeardEmitters heard(sink, since_);
    play({app::Pipeline(config_.pipeline, stations_, sink.first_revision()), std::nullopt,
          [&](const app::PipelineOutput& output, const app::Judgement&) { heard.take(output); }},
         "telling who is who", now);
    return heard.identities();
  }

  void play(Playback playback, std::string_view doing, TimePoint now) {
    first_.reset();
    last_end_ = {};
    std::size_t heard_since = 0;
    store::BearingStore(database_).read(TimePoint{}, TimePoint::max(), [&](const Bearing& bearing) {
      if (!chosen(bearing.channel)) return;
      if (bearing.start >= since_) ++heard_since;
      notice(bearing, doing, playback.bearings());
      playback.play(bearing);
    });
    if (heard_since == 0) throw NothingHeard{};
    // As if a server had been killed now: the next one goes on from here.
    playback.wait_until(std::max(now, last_end_));
    bearings_ = playback.bearings();
  }

  [[nodiscard]] bool chosen(ChannelId channel) const {
    const auto& some = options_.channels;
    return some.empty() || std::find(some.begin(), some.end(), channel) != some.end();
  }

  void notice(const Bearing& bearing, std::string_view doing, std::size_t before) {
    if (!first_) first_ = bearing.start;
    last_end_ = std::max(last_end_, bearing.end());
    if (before > 0 && before % kProgress == 0) {
      err_ << fmt::format("recompute: {}: {} million bearings, up to {}\n", doing,
                          before / kProgress, format_rfc3339(bearing.start, 0));
    }
  }

  /// An emitter's id is the start of the transmission that gave birth to it.
  void warn_of_dropped(const store::RecomputeSink& sink) {
    const std::int64_t first_id = first_->time_since_epoch().count();
    const auto older = std::count_if(sink.replaced().begin(), sink.replaced().end(),
                                     [&](EmitterKey key) { return key.id < first_id; });
    if (older == 0) return;
    err_ << fmt::format(
        "recompute: {} emitters were first heard before {}, of which no bearing is kept: for them "
        "history begins there\n",
        older, format_rfc3339(*first_, 0));
  }

  store::Database& database_;
  const app::ServerConfig& config_;
  const RecomputeOptions& options_;
  const TimePoint since_;
  std::ostream& err_;
  const Stations stations_;
  Redirects redirects_;
  app::ResultJudge judge_;          // made beforehand: a run holds the database's turn
  std::optional<TimePoint> first_;  // of the bearings
  TimePoint last_end_;
  std::size_t bearings_ = 0;
};

void print(const store::RecomputeSummary& summary, const RecomputeOptions& options,
           const Replay& replay, TimePoint since, std::ostream& out) {
  out << fmt::format("{} results since {}, from {} bearings\n",
                     options.dry_run ? "would make anew the" : "made anew the",
                     format_rfc3339(since, 0), replay.bearings());
  out << fmt::format("fixes with a position: {} before, {} after\n", summary.fixes_before,
                     summary.fixes_after);
  out << fmt::format("emitters: {} before; {} of them not found again, {} new\n",
                     summary.emitters_before, summary.emitters_gone, summary.emitters_new);
  if (summary.median_moved_m) {
    out << fmt::format("they moved by {:.0f} m at the median, {:.0f} m at most\n",
                       *summary.median_moved_m, *summary.largest_moved_m);
  }
  if (options.dry_run) {
    out << "nothing was changed: this was a dry run\n";
    return;
  }
  out << fmt::format(
      "run {}: what was before is in the views fix_before_list and emitter_before_list, with "
      "run_id = {}\n",
      summary.run, summary.run);
}

int recompute(store::Database& database, const app::ServerConfig& config,
              const RecomputeOptions& options, TimePoint since, std::ostream& out,
              std::ostream& err) {
  const TimePoint now = SystemClock().now();
  Replay replay(database, config, options, since, err);
  const store::RecomputeOrder order{since,      options.channels, now,
                                    options.by, options.note,     !options.dry_run};
  try {
    const auto summary = store::RecomputeBook(database).replace(
        order, [&](store::RecomputeSink& sink) { replay.run(sink, now); });
    print(summary, options, replay, since, out);
    return 0;
  } catch (const NothingHeard&) {
    err << fmt::format("recompute: there are no bearings from {} on: nothing was changed\n",
                       format_rfc3339(since, 0));
    return 1;
  }
}

}  // namespace

int run_recompute(const RecomputeOptions& options, std::ostream& out, std::ostream& err) {
  const auto since = given_time("--since", options.since, SystemClock().now(), err);
  if (!since) return 2;
  const auto config = app::read_server_config(options.config);
  if (!config) {
    err << config.error() << '\n';
    return 2;
  }
  return with_database("recompute", options.database, err, [&](store::Database& database) {
    return recompute(database, *config, options, *since, out, err);
  });
}

}  // namespace fixwright::tools
