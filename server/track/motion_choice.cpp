#include "server/track/motion_choice.hpp"

#include <fmt/core.h>

#include <utility>

#include "server/geodesy/ellipse.hpp"

namespace fixwright::track {

namespace {

/// Chi-square, 2 degrees of freedom, exceeded by one standing emitter in a thousand.
constexpr double kMovesForSure = 13.82;
/// To come to rest takes this long at one place.
constexpr Duration kRestsFor = std::chrono::seconds{30};
constexpr std::size_t kCheckedStations = 3;

/// The place hypothesis starts anew where the track is now.
void open_place(EmitterRecord& e) {
  e.sums = {};
  e.scatter = {};
  e.place_since = e.moving.at();
  e.resting = MotionFilter(e.moving.position(), e.moving.covariance(), e.moving.at(), {});
  e.steady = {};
  e.moving_log_ratio = 0.0;
  e.moving_over_steady_log = 0.0;
}

/// Nats: how improbable such a speed was before anything was heard.
double speed_charge(const EmitterRecord& e, const TrackRules& rules) {
  const auto [east, north] = e.moving.state().speed_m_per_s;
  const double sigma = rules.speed_sigma_m_per_s;
  return (east * east + north * north) / (2.0 * sigma * sigma);
}

void note_moved(const EmitterRecord& e, TimePoint at, std::string evidence, Changes& changes) {
  changes.events.push_back({e.shown.key, at, EmitterEventKind::moved, std::move(evidence)});
}

void start_moving(EmitterRecord& e, TimePoint at, const TrackRules& rules, Changes& changes) {
  note_moved(e, at,
             fmt::format("its bearings fit a track at {:.1f} m/s better than a place, "
                         "log likelihood ratio {:.1f}",
                         e.moving.velocity().speed_m_per_s, e.moving_log_ratio),
             changes);
  e.shown.motion = Motion::moving;
  e.moving = e.moving.turning(rules.acceleration_m_per_s2);
  open_place(e);
}

void come_to_rest(EmitterRecord& e, TimePoint at, const TrackRules& rules, Changes& changes) {
  note_moved(e, at,
             fmt::format("came to rest: its bearings fit one place since {}, log likelihood "
                         "ratio {:.1f}",
                         format_rfc3339(e.place_since), e.moving_log_ratio),
             changes);
  e.shown.motion = Motion::still;
  e.since_point.reset();
  e.moving = e.resting.departing({rules.speed_sigma_m_per_s, rules.straight_m_per_s2});
  e.shown.velocity.reset();
}

}  // namespace

void choose_motion(EmitterRecord& emitter, TimePoint at, const TrackRules& rules,
                   Changes& changes) {
  const double charge = speed_charge(emitter, rules);
  const bool moves = emitter.moving_log_ratio - charge >= rules.moving_log_ratio;
  const bool turns = emitter.moving_over_steady_log - charge >= rules.moving_log_ratio;
  if (emitter.shown.motion == Motion::still) {
    const bool sure = emitter.moving.speed_chi_square() > kMovesForSure;
    if (emitter.believed() && moves && turns && sure) start_moving(emitter, at, rules, changes);
    return;
  }
  if (moves) {
    open_place(emitter);
    return;
  }
  const bool rests = emitter.moving_log_ratio <= -0.5 * rules.moving_log_ratio;
  const bool long_enough = emitter.moving.at() - emitter.place_since >= kRestsFor;
  if (rests && long_enough && emitter.sums.stations().size() >= kCheckedStations) {
    come_to_rest(emitter, at, rules, changes);
  }
}

void settle_still(EmitterRecord& emitter, CrossFix fix_of_sums) {
  if (fix_of_sums.accepted()) emitter.shown.fix = std::move(fix_of_sums);
  emitter.shown.valid_at = emitter.shown.last_heard;
}

void settle_moving(EmitterRecord& emitter) {
  CrossFix fix;
  fix.position = emitter.moving.position();
  fix.covariance = emitter.moving.covariance();
  fix.ellipse = geodesy::error_ellipse(fix.covariance, 0.95);
  fix.grade =
      emitter.shown.stations.size() >= kCheckedStations ? FixGrade::checked : FixGrade::unchecked;
  fix.crossing_deg = emitter.shown.fix.crossing_deg;
  emitter.shown.fix = std::move(fix);
  emitter.shown.velocity = emitter.moving.velocity();
  emitter.shown.valid_at = emitter.moving.at();
}

}  // namespace fixwright::track
