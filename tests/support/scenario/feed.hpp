#pragma once
/// Runs a pipeline as a server would, and keeps what a database would keep.

#include <algorithm>
#include <map>
#include <tuple>
#include <vector>

#include "server/app/pipeline/pipeline.hpp"
#include "tests/support/scenario/simulator.hpp"

namespace fixwright::scenario {

/// The newest value of everything, by identity, as upserts leave it.
struct Tables {
  std::map<TransmissionKey, Transmission> transmissions;
  std::map<FixKey, Fix> fixes;
  std::map<EmitterKey, Emitter> emitters;
  std::map<std::tuple<EmitterKey, TimePoint, EmitterEventKind>, EmitterEvent> events;
  std::map<std::pair<EmitterKey, TimePoint>, TrackPoint> track_points;
  std::map<BearingOnlyKey, BearingOnly> bearing_only;
  std::vector<Bearing> late;

  /// Fails the test when a revision does not grow, or an identity comes twice in one output.
  void take(const app::PipelineOutput& output);

  [[nodiscard]] std::vector<Emitter> in_state(EmitterState state) const;
  [[nodiscard]] std::vector<Fix> fixes_in(ResultState state) const;
  [[nodiscard]] int count(EmitterEventKind kind) const;
};

/// A bearing and when it reaches the server.
struct Arrival {
  TimePoint at;
  Bearing bearing;
};

/// Each bearing arrives `delay_s` after its end, and up to `jitter_s` later, by the seed.
std::vector<Arrival> arrivals(const std::vector<Bearing>& bearings, double delay_s, double jitter_s,
                              std::uint64_t seed);

struct FeedRules {
  double step_s = 0.25;              // take() this often
  double heartbeat_delay_s = 0.5;    // a heartbeat's low watermark is this far behind its receipt
  std::vector<StationId> mute = {};  // stations without heartbeats
};

/// Feeds arrivals with a heartbeat a second of every station, until the last arrival; `each` sees
/// every output. Does not finish().
template <typename Each>
void feed(app::Pipeline& pipeline, const Stations& stations, const std::vector<Arrival>& arriving,
          const FeedRules& rules, Each&& each) {
  if (arriving.empty()) return;
  auto next = arriving.begin();
  TimePoint heartbeat_due = arriving.front().at;
  for (TimePoint now = arriving.front().at; next != arriving.end();
       now += from_seconds(rules.step_s)) {
    for (; next != arriving.end() && next->at <= now; ++next) pipeline.bearing(next->bearing);
    if (now >= heartbeat_due) {
      for (const auto& [id, station] : stations) {
        if (std::find(rules.mute.begin(), rules.mute.end(), id) != rules.mute.end()) continue;
        pipeline.heartbeat({id, now, now - from_seconds(rules.heartbeat_delay_s),
                            std::chrono::milliseconds{1}, ClockState::synchronised});
      }
      heartbeat_due += std::chrono::seconds{1};
    }
    pipeline.tick(now);
    each(now, pipeline.take());
  }
}

/// Feeds all, finishes, and returns what is left in the tables.
Tables run(const app::PipelineRules& rules, const Stations& stations,
           const std::vector<Arrival>& arriving, const FeedRules& feed_rules = {});

/// The usual case: 0.3 s of delay, no jitter.
Tables run(const Stations& stations, const std::vector<Bearing>& bearings);

}  // namespace fixwright::scenario
