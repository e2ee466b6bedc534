#include "station_agent/source/simulated/measurement.hpp"

#include <gmock/gmock.h>

#include <cmath>
#include <set>

#include "server/base/angle.hpp"
#include "station_agent/source/simulated/draw.hpp"
#include "station_agent/source/simulated/scenario_config.hpp"
#include "station_agent/source/simulated/simulated_source.hpp"

namespace fixwright::agent {
namespace {

using std::chrono::hours;
using std::chrono::milliseconds;
using std::chrono::seconds;

constexpr TimePoint kStart{seconds{1'900'000'000}};

/// One station on the equator, one emitter due north of it.
Scenario plain() {
  Scenario s;
  s.seed = 7;
  s.start = kStart;
  s.stations.push_back({.name = "A", .position = {0.0, 0.0}, .sigma_deg = 2.0, .reflections = {}});
  s.emitters.push_back({.name = "E",
                        .frequency_hz = 156.8e6,
                        .eirp_dbw = 10.0,
                        .schedule = {},
                        .only_stations = {},
                        .label = {},
                        .path = Path({{0.2, 0.0}}, 0.0, PathEnd::stop)});
  return s;
}

std::vector<SourceBearing> heard(const Scenario& s, Duration from, Duration to) {
  return bearings_between(s, s.stations.front(), kStart + from, kStart + to);
}

bool same(const std::vector<SourceBearing>& a, const std::vector<SourceBearing>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](const SourceBearing& x, const SourceBearing& y) {
                      return x.start == y.start && x.azimuth_deg == y.azimuth_deg &&
                             x.frequency_hz == y.frequency_hz;
                    });
}

// ---- Geometry ---------------------------------------------------------------------------------

TEST(SimulatedAzimuth, NorthIsZeroAndEastIsNinety) {
  EXPECT_EQ(azimuth_distance({0.0, 0.0}, {1.0, 0.0}).azimuth_deg, 0.0);
  EXPECT_EQ(azimuth_distance({0.0, 0.0}, {0.0, 1.0}).azimuth_deg, 90.0);
  EXPECT_EQ(azimuth_distance({0.0, 0.0}, {0.0, -1.0}).azimuth_deg, 270.0);
}

// Source: C. F. F. Karney, GeographicLib test set for geodesics, first line of the project's
// extract: lat1 lon1 azi1 lat2 lon2 azi2 s12.
TEST(SimulatedAzimuth, AgreesWithKarneysTestLine) {
  const AzimuthDistance a = azimuth_distance({35.60777, -139.44815}, {-11.17491, -69.95921});
  EXPECT_NEAR(a.azimuth_deg, 111.098748429560326, 1e-12);  // published tolerance 1e-13, rounded sum
  EXPECT_NEAR(a.distance_m, 8935244.5604818305, 1e-8);
}

// ---- Multipath --------------------------------------------------------------------------------

// Source: closed form atan(r sin D / (1 + r cos D)) for a small aperture; the values of the
// project's table of array checks (computed there by an independent calculation).
TEST(TwoRayBias, AgreesWithTheTableInPhaseAndInCounterPhase) {
  EXPECT_NEAR(two_ray_bias_deg(0.1, 90.0, 0.0), 5.711, 0.0005);  // the table has 3 decimals
  EXPECT_NEAR(two_ray_bias_deg(0.1, 90.0, 180.0), -5.711, 0.0005);
  EXPECT_NEAR(two_ray_bias_deg(0.3, 60.0, 0.0), 12.731, 0.0005);
  EXPECT_NEAR(two_ray_bias_deg(0.3, 60.0, 180.0), -16.996, 0.0005);
  EXPECT_NEAR(two_ray_bias_deg(0.5, 90.0, 0.0), 26.565, 0.0005);
  EXPECT_NEAR(two_ray_bias_deg(0.5, 90.0, 180.0), -26.565, 0.0005);
}

/// Phase of the two waves' sum at a point, D = direction of the second; small offsets in
/// wavelengths; against which the gradient is differenced.
double phase_at(double x, double y, double ratio, double d_deg, double phase_deg) {
  const double d = d_deg * kDegToRad;
  const double first = 2.0 * M_PI * y;  // from north: x east, y north
  const double second = 2.0 * M_PI * (x * std::sin(d) + y * std::cos(d)) + phase_deg * kDegToRad;
  return std::atan2(std::sin(first) + ratio * std::sin(second),
                    std::cos(first) + ratio * std::cos(second));
}

TEST(TwoRayBias, IsTheDirectionOfThePhaseGradientAtAnyPhase) {
  const double h = 1e-6;  // wavelengths
  for (const double ratio : {0.1, 0.6, 0.9}) {
    for (double d = -170.0; d <= 170.0; d += 34.0) {
      for (const double phase : {0.0, 40.0, 90.0, 179.0, 250.0}) {
        const double gx = phase_at(h, 0, ratio, d, phase) - phase_at(-h, 0, ratio, d, phase);
        const double gy = phase_at(0, h, ratio, d, phase) - phase_at(0, -h, ratio, d, phase);
        const double direction = std::atan2(gx, gy) * kRadToDeg;
        // Central differences of step 1e-6 lose about ten of sixteen digits.
        EXPECT_NEAR(wrap_180(two_ray_bias_deg(ratio, d, phase) - direction), 0.0, 1e-4)
            << ratio << ' ' << d << ' ' << phase;
      }
    }
  }
}

TEST(TwoRayBias, ReflectionTurnsTheMeasuredAzimuthTowardsTheReflector) {
  Scenario s = plain();
  s.stations[0].sigma_deg = 1e-6;
  s.stations[0].reflections.push_back({.emitter = "E", .azimuth_deg = 90.0, .ratio = 0.5});
  EXPECT_NEAR(heard(s, seconds{0}, seconds{2}).at(0).azimuth_deg, 26.565, 0.001);
  s.stations[0].reflections[0].emitter = "OTHER";
  EXPECT_NEAR(wrap_180(heard(s, seconds{0}, seconds{2}).at(0).azimuth_deg), 0.0, 0.001);
}

// ---- Determinism ------------------------------------------------------------------------------

TEST(Simulated, SameScenarioStationAndTimeGiveTheSameBearingsHoweverCutUp) {
  const Scenario s = plain();
  const auto whole = heard(s, seconds{100}, seconds{160});
  std::vector<SourceBearing> pieces;
  for (milliseconds t = seconds{100}; t < seconds{160}; t += milliseconds{125}) {
    for (const SourceBearing& b : heard(s, t, t + milliseconds{125})) pieces.push_back(b);
  }
  EXPECT_EQ(whole.size(), 60U);
  EXPECT_TRUE(same(whole, pieces));
}

TEST(Simulated, AnotherEmitterBesideItChangesNoBearing) {
  Scenario s = plain();
  const auto alone = heard(s, seconds{0}, seconds{30});
  s.emitters.push_back(s.emitters[0]);
  s.emitters[1].name = "F";
  s.emitters[1].frequency_hz = 433.92e6;
  std::vector<SourceBearing> of_the_first;
  for (const SourceBearing& b : heard(s, seconds{0}, seconds{30})) {
    if (b.frequency_hz < 200e6) of_the_first.push_back(b);
  }
  EXPECT_TRUE(same(alone, of_the_first));
}

TEST(Simulated, AnotherSeedOrStationGivesOtherBearings) {
  Scenario s = plain();
  const auto before = heard(s, seconds{0}, seconds{30});
  s.seed = 8;
  EXPECT_FALSE(same(before, heard(s, seconds{0}, seconds{30})));
  s.seed = 7;
  s.stations[0].name = "B";
  EXPECT_FALSE(same(before, heard(s, seconds{0}, seconds{30})));
}

// ---- Statistics -------------------------------------------------------------------------------

TEST(Simulated, AzimuthsScatterByTheStatedSigmaAroundTruthAndBias) {
  Scenario s = plain();
  s.stations[0].bias_deg = 1.5;
  double sum = 0.0;
  double squares = 0.0;
  const auto all = heard(s, seconds{0}, seconds{20'000});
  for (const SourceBearing& b : all) {
    const double error = wrap_180(b.azimuth_deg);  // truth is 0
    sum += error;
    squares += error * error;
  }
  const double n = static_cast<double>(all.size());
  const double mean = sum / n;
  // Standard errors: mean 2/sqrt(20000) = 0.014, deviation 2/sqrt(40000) = 0.01; four of each.
  EXPECT_NEAR(mean, 1.5, 0.057);
  EXPECT_NEAR(std::sqrt(squares / n - mean * mean), 2.0, 0.04);
}

TEST(Simulated, DetectionGrossErrorsAndClutterComeAtTheirRates) {
  Scenario s = plain();
  s.stations[0].detection_probability = 0.8;
  s.stations[0].gross_error_probability = 0.1;
  s.stations[0].sigma_deg = 0.01;
  const auto all = heard(s, seconds{0}, seconds{20'000});
  // sqrt(20000 * 0.8 * 0.2) = 57; four of them.
  EXPECT_NEAR(static_cast<double>(all.size()), 16'000.0, 230.0);
  double far = 0.0;
  for (const SourceBearing& b : all) far += std::abs(wrap_180(b.azimuth_deg)) > 1.0 ? 1.0 : 0.0;
  EXPECT_NEAR(far / static_cast<double>(all.size()), 0.1 * 358.0 / 360.0, 0.01);  // four sigma

  s.emitters[0].only_stations = {"NOBODY"};
  s.stations[0].clutter_per_minute = 6.0;
  const double minutes = 600.0;
  EXPECT_NEAR(static_cast<double>(heard(s, seconds{0}, hours{10}).size()), 6.0 * minutes, 240.0);
}

TEST(Draw, UniformIsUniformAndPurposesAreIndependent) {
  double sum = 0.0;
  double product = 0.0;
  const int n = 100'000;
  for (int i = 0; i < n; ++i) {
    const Draw d{1, 2, 3, i};
    sum += d.uniform(Purpose::noise);
    product += (d.uniform(Purpose::noise) - 0.5) * (d.uniform(Purpose::detection) - 0.5);
  }
  EXPECT_NEAR(sum / n, 0.5, 4.0 * 0.2887 / std::sqrt(n));  // four standard errors
  EXPECT_NEAR(product / n, 0.0, 4.0 / 12.0 / std::sqrt(n));
}

// FNV-1a of the empty text is its offset basis, of "a" 0xAF63DC4C8601EC8C: test vectors of the
// Internet-Draft draft-eastlake-fnv (from memory).
TEST(Draw, NamesHashAsPublished) {
  EXPECT_EQ(hash_name(""), 0xCBF29CE484222325ULL);
  EXPECT_EQ(hash_name("a"), 0xAF63DC4C8601EC8CULL);
}

// ---- Range, schedule, strength ----------------------------------------------------------------

TEST(Simulated, BeyondRangeOrBelowNoiseNothingIsHeard) {
  Scenario s = plain();
  s.stations[0].range_m = 22'000.0;  // the emitter is 22 115 m away
  EXPECT_TRUE(heard(s, seconds{0}, seconds{10}).empty());
  s.stations[0].range_m = 23'000.0;
  EXPECT_EQ(heard(s, seconds{0}, seconds{10}).size(), 10U);
  s.emitters[0].eirp_dbw = -60.0;
  EXPECT_TRUE(heard(s, seconds{0}, seconds{10}).empty());
}

// Source: Rec. ITU-R P.525: 433.92 MHz over 50 km in free space is 119.13 dB.
TEST(Simulated, SnrFollowsFreeSpaceLoss) {
  Scenario s = plain();
  s.emitters[0].frequency_hz = 433.92e6;
  s.stations[0].noise_floor_dbm = -115.0;
  const double km = azimuth_distance({0.0, 0.0}, {0.2, 0.0}).distance_m / 1e3;
  const double nearer_db = 20.0 * std::log10(50.0 / km);
  const double expected = 10.0 + 30.0 - (119.13 - nearer_db) + 115.0;
  EXPECT_NEAR(*heard(s, seconds{0}, seconds{2}).at(0).snr_db, expected, 0.03);  // 32.4 for 32.45
}

TEST(Simulated, IntermittentEmitterIsHeardOnlyWhileItIsOn) {
  Scenario s = plain();
  s.emitters[0].interval = milliseconds{500};
  s.emitters[0].schedule = {seconds{20}, seconds{3}, seconds{5}};
  const auto all = heard(s, seconds{0}, seconds{200});
  EXPECT_GE(all.size(), 50U);  // ten periods, five or six whole intervals in each
  for (const SourceBearing& b : all) {
    const double into = std::fmod(fixwright::seconds(b.start - kStart) + 15.0, 20.0);
    EXPECT_GE(into, 0.0);
    EXPECT_LE(into + 0.2, 3.0 + 1e-6);
  }
}

TEST(Simulated, StationsDoNotMeasureInStep) {
  Scenario s = plain();
  s.stations.push_back(s.stations[0]);
  s.stations[1].name = "B";
  EXPECT_NE(measurement_start(s, s.stations[0], s.emitters[0], 5),
            measurement_start(s, s.stations[1], s.emitters[0], 5));
}

// ---- Paths ------------------------------------------------------------------------------------

TEST(Path, TravelsAtItsSpeedAlongTheGeodesic) {
  const Path path({{41.0, -150.0}, {41.2, -150.0}}, 15.0, PathEnd::turn_back);
  const auto moved = azimuth_distance({41.0, -150.0}, path.at(seconds{60}));
  EXPECT_NEAR(moved.distance_m, 900.0, 1e-6);
  EXPECT_NEAR(wrap_180(moved.azimuth_deg), 0.0, 1e-9);
}

TEST(Path, TurnsBackClosesTheCircleOrStops) {
  const std::vector<GeoPoint> line{{0.0, 0.0}, {0.0, 0.1}};
  const double length = Path(line, 1.0, PathEnd::stop).length_m();
  const auto east_m = [&](PathEnd end, double travelled) {
    return azimuth_distance(line[0], Path(line, 1.0, end).at(from_seconds(travelled))).distance_m;
  };
  EXPECT_NEAR(east_m(PathEnd::turn_back, 1.5 * length), 0.5 * length, 1e-5);
  EXPECT_NEAR(east_m(PathEnd::turn_back, 2.5 * length), 0.5 * length, 1e-5);
  EXPECT_NEAR(east_m(PathEnd::stop, 1.5 * length), length, 1e-5);
  EXPECT_NEAR(east_m(PathEnd::close_circle, 2.25 * length), 0.25 * length, 1e-5);
}

TEST(Path, OneWaypointStandsStill) {
  const Path path({{41.0, -150.0}}, 15.0, PathEnd::turn_back);
  EXPECT_FALSE(path.moves());
  EXPECT_EQ(path.at(hours{5}), (GeoPoint{41.0, -150.0}));
}

// ---- The source -------------------------------------------------------------------------------

TEST(SimulatedSource, TellsWhatTimeBringsAndEndsWhenItsTimeIsOver) {
  ManualClock clock(kStart);
  SimulatedSource source(plain(), "A", seconds{10}, clock);
  EXPECT_TRUE(source.read(Duration{0}).bearings.empty());
  clock.advance(seconds{5});
  EXPECT_EQ(source.read(Duration{0}).bearings.size(), 5U);
  EXPECT_TRUE(source.read(Duration{0}).bearings.empty());
  clock.advance(seconds{9});
  const SourceBatch last = source.read(Duration{0});
  EXPECT_EQ(last.bearings.size(), 5U);
  EXPECT_TRUE(last.ended);
}

TEST(SimulatedSource, NothingStartsBeforeTheWatermarkAlreadyGiven) {
  ManualClock clock(kStart);
  Scenario s = plain();
  s.stations[0].clutter_per_minute = 30.0;
  SimulatedSource source(s, "A", Duration{0}, clock);
  TimePoint watermark = source.read(Duration{0}).low_watermark;
  for (int i = 0; i < 300; ++i) {
    clock.advance(milliseconds{70});
    const SourceBatch batch = source.read(Duration{0});
    for (const SourceBearing& b : batch.bearings) EXPECT_GE(b.start, watermark);
    watermark = batch.low_watermark;
  }
}

TEST(SimulatedSource, AfterASleepItGoesOnWithoutAFlood) {
  ManualClock clock(kStart);
  SimulatedSource source(plain(), "A", Duration{0}, clock);
  clock.advance(hours{3});
  EXPECT_TRUE(source.read(Duration{0}).bearings.empty());
  clock.advance(seconds{2});
  EXPECT_EQ(source.read(Duration{0}).bearings.size(), 2U);
}

// ---- The file ---------------------------------------------------------------------------------

TEST(ScenarioFile, MistakesAreToldWithTheirLine) {
  const auto file = parse_scenario(R"(
[[station]]
name = "A"
latitude_deg = 91.0
longitude_deg = 0.0
[[station]]
name = "A"
latitude_deg = 1.0
longitude_deg = 0.0
[[emitter]]
name = "E"
frequency_hz = 1e8
on_s = 5.0
only_stations = ["B"]
colour = "red"
)",
                                   "osmere.toml");
  EXPECT_THAT(
      file.problems,
      testing::UnorderedElementsAre(
          testing::HasSubstr("osmere.toml:4: station[1].latitude_deg = 91: must be -90 to 90"),
          testing::HasSubstr("osmere.toml:7: station[2].name = \"A\": is given twice"),
          testing::HasSubstr("on_s = 5: must be at most period_s"),
          testing::HasSubstr("needs at least one place"),
          testing::HasSubstr("only_stations names no station of this file: B"),
          testing::HasSubstr("colour")));
}

}  // namespace
}  // namespace fixwright::agent
