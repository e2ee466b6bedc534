/// Four stations with the errors real sites have: biases nobody knows of, false bearings, and a
/// rock face that turns one station's azimuths of one emitter by 26 degrees. Ten minutes.
///
/// The stations, noises and places are those of deploy/config/demo/osmere.toml.

#include <gtest/gtest.h>

#include <cmath>

#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/geodesic.hpp"
#include "tests/support/scenario/feed.hpp"

namespace fixwright::scenario {
namespace {

constexpr double kTenMinutes_s = 600.0;
constexpr std::uint64_t kSeeds = 6;
constexpr StationId kMossRidge = 2;
constexpr GeoPoint kReflected{41.245, -150.250};
constexpr GeoPoint kNorth{41.360, -150.260};
constexpr GeoPoint kSouth{41.100, -150.330};

Stations osmere() {
  const std::vector<GeoPoint> places{
      {41.430, -150.450}, {41.330, -150.020}, {41.020, -150.120}, {41.080, -150.560}};
  Stations stations;
  for (const GeoPoint& place : places) {
    Station s;
    s.id = static_cast<StationId>(stations.size() + 1);
    s.position = place;
    s.site_sigma_deg = 0.7;
    stations[s.id] = s;
  }
  return stations;
}

SimulationRules osmere_errors(std::uint64_t seed) {
  return {.seed = seed,
          .detection = 0.95,
          .clutter = 0.03,
          .station_noise_deg = {{1, 2.0}, {2, 1.5}, {3, 2.5}, {4, 2.0}},
          .reflection_deg = {{1, 0.4}, {2, -0.3}, {3, 0.2}, {4, -0.5}}};
}

/// What people were shown, moment by moment.
struct Seen {
  TimePoint at;
  std::vector<Emitter> emitters;
};

struct Play {
  std::vector<Seen> seen;
  Tables tables;  // before the end of input
};

Play play(const std::vector<Source>& sources, std::uint64_t seed) {
  const Stations stations = osmere();
  app::Pipeline pipeline({}, stations);
  Play p;
  const auto bearings = simulate(stations, sources, osmere_errors(seed));
  feed(pipeline, stations, arrivals(bearings, 0.3, 0.2, seed), {},
       [&](TimePoint now, const app::PipelineOutput& output) {
         p.tables.take(output);
         Seen moment{now, {}};
         for (const Emitter& e : output.emitters) {
           if (e.state != EmitterState::retired) moment.emitters.push_back(e);
         }
         if (!moment.emitters.empty()) p.seen.push_back(std::move(moment));
       });
  return p;
}

double seconds_in(TimePoint t) { return seconds(t - scenario_start()); }

std::vector<Emitter> lasting(const Tables& tables) {
  std::vector<Emitter> all;
  for (const auto& [key, e] : tables.emitters) {
    if (e.state != EmitterState::retired) all.push_back(e);
  }
  return all;
}

int confirmed_near(const Tables& tables, GeoPoint place) {
  int n = 0;
  for (const Emitter& e : tables.in_state(EmitterState::confirmed)) {
    // Site floors of 0.7 degrees at 30 km: some 400 m.
    n += geodesy::distance_m(e.fix.position, place) < 1000.0 ? 1 : 0;
  }
  return n;
}

void expect_never_moving(const Play& p, double from_s) {
  for (const Seen& moment : p.seen) {
    if (seconds_in(moment.at) < from_s) continue;
    for (const Emitter& e : moment.emitters) {
      ASSERT_EQ(e.motion, Motion::still) << e.key.id << " at " << seconds_in(moment.at) << " s, "
                                         << e.velocity.value_or(Velocity{}).speed_m_per_s << " m/s";
    }
  }
}

TEST(SiteErrors, AStillEmitterThatOneStationSeesTurnedStaysStill) {
  const Source source{
      .position = kReflected, .on = {{0.0, kTenMinutes_s}}, .turned_deg = {{kMossRidge, 26.0}}};
  for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
    SCOPED_TRACE(seed);
    const Play p = play({source}, seed);
    expect_never_moving(p, 60.0);
    const auto confirmed = p.tables.in_state(EmitterState::confirmed);
    ASSERT_EQ(confirmed.size(), 1U);
    const CrossFix& fix = confirmed.front().fix;
    EXPECT_TRUE(fix.grade == FixGrade::odd ||
                geodesy::ellipse_holds(fix.position, fix.ellipse, kReflected))
        << geodesy::distance_m(fix.position, kReflected) << " m off";
  }
}

/// What 15 m/s can show at all: one look of the four stations tells the place to some 450 m one
/// way and 700 m the other, so T seconds of looks tell the speed to 450 and 700 m * sqrt(12 / T^3).
/// Against a prior of 20 m/s an axis that is a log likelihood ratio of 3 nats after 60 s and 16
/// after 90, on average; 12 are asked for, so that nothing at rest is called moving. A share of
/// drives shows itself later. Transmissions are cut every 5 s. Measured: 89 to 120 s.
constexpr double kShowsWithin_s = 130.0;

TEST(SiteErrors, AVehicleIsFoundMovingAsSoonAsItShowsAndHeldInItsRegion) {
  const Source car{.position = {41.140, -150.420},
                   .on = {{0.0, kTenMinutes_s}},
                   .east_m_per_s = 9.5,
                   .north_m_per_s = 11.6,
                   .turn_back_s = 300.0};
  int held = 0;
  int points = 0;
  for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
    SCOPED_TRACE(seed);
    const Play p = play({car}, seed);
    const auto confirmed = p.tables.in_state(EmitterState::confirmed);
    ASSERT_EQ(confirmed.size(), 1U);
    EXPECT_LE(lasting(p.tables).size(), 2U);
    ASSERT_FALSE(p.tables.track_points.empty());
    EXPECT_LT(seconds_in(p.tables.track_points.begin()->second.at), kShowsWithin_s);
    for (const auto& [key, point] : p.tables.track_points) {
      const auto ellipse = geodesy::error_ellipse(point.covariance, 0.95);
      points += 1;
      const GeoPoint truth = car.at(seconds_in(point.at));
      held += geodesy::ellipse_holds(point.position, ellipse, truth) ? 1 : 0;
    }
  }
  EXPECT_GT(points, 300);
  // 95 % were the sites without bias and the road without a turn. Four of five is what a region
  // that takes both for noise must still reach.
  EXPECT_GE(held, 0.8 * points) << held << " of " << points;
}

TEST(SiteErrors, TwoOnOneChannelAreBothConfirmedAndStill) {
  const std::vector<Source> sources{{.position = kNorth, .on = {{0.0, kTenMinutes_s}}},
                                    {.position = kSouth, .on = {{0.37, kTenMinutes_s}}}};
  for (std::uint64_t seed = 1; seed <= kSeeds; ++seed) {
    SCOPED_TRACE(seed);
    const Play p = play(sources, seed);
    expect_never_moving(p, 0.0);
    EXPECT_EQ(p.tables.in_state(EmitterState::confirmed).size(), 2U);
    EXPECT_EQ(confirmed_near(p.tables, kNorth), 1);
    EXPECT_EQ(confirmed_near(p.tables, kSouth), 1);
    EXPECT_LE(lasting(p.tables).size(), 3U);
  }
}

TEST(SiteErrors, AnAcceptedCalibrationTakesTheBiasOffFromItsDateOn) {
  Stations stations = osmere();
  for (auto& [id, station] : stations) station.site_sigma_deg = 0.15;
  const Source early{.position = kNorth, .channel = 1, .on = {{0.0, 300.0}}};
  const Source late{.position = kNorth, .channel = 2, .on = {{300.0, 600.0}}};
  const auto bearings =
      simulate(stations, {early, late}, {.noise_deg = 0.5, .reflection_deg = {{1, 8.0}}});
  Calibration known;
  known.valid_from = scenario_start() + from_seconds(300.0);
  known.bias_deg = 8.0;
  stations[1].calibrations = {known};
  const Tables tables = run(stations, bearings);
  double miss_m[3] = {};
  for (const auto& [key, e] : tables.emitters) {
    if (e.state == EmitterState::retired) continue;
    miss_m[key.channel] = geodesy::distance_m(e.fix.position, kNorth);
  }
  // Eight degrees are kilometres at 20 km, or the station is set aside; floors of 0.15 degrees at
  // 30 km some 80 m.
  EXPECT_LT(miss_m[2], 200.0);
  int used_early = 0;
  int used_late = 0;
  for (const auto& [key, fix] : tables.fixes) {
    for (const FixBearing& b : fix.bearings) {
      if (b.key.station != 1 || !b.used) continue;
      (key.transmission.channel == 1 ? used_early : used_late) += 1;
    }
  }
  EXPECT_GT(used_late, 250);
  EXPECT_TRUE(used_early < 30 || miss_m[1] > 1000.0) << used_early << " " << miss_m[1];
}

}  // namespace
}  // namespace fixwright::scenario
