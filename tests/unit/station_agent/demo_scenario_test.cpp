// The demo's island does what its comments promise.
#include <gmock/gmock.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <stdexcept>
#include <string>
#include <vector>

#include "server/base/angle.hpp"
#include "station_agent/source/simulated/measurement.hpp"
#include "station_agent/source/simulated/scenario_config.hpp"
#include "station_agent/source/simulated/simulated_source.hpp"

namespace fixwright::agent {
namespace {

using std::chrono::minutes;
using std::chrono::seconds;

const Scenario& osmere() {
  static const ScenarioFile file =
      load_scenario(std::string(FIXWRIGHT_SOURCE_FOLDER) + "/deploy/config/demo/osmere.toml");
  for (const std::string& problem : file.problems) ADD_FAILURE() << problem;
  return file.scenario;
}

const SimulatedEmitter& emitter(std::string_view name) {
  for (const SimulatedEmitter& e : osmere().emitters) {
    if (e.name == name) return e;
  }
  throw std::runtime_error("no such emitter");
}

/// Bearings of an emitter at a station in the first ten minutes.
std::vector<SourceBearing> heard(const SimulatedStation& station, const SimulatedEmitter& e) {
  std::vector<SourceBearing> all;
  for (std::int64_t k = 0; k * e.interval < minutes{10}; ++k) {
    if (auto b = measure(osmere(), station, e, k)) all.push_back(*b);
  }
  return all;
}

TEST(Osmere, FourStationsHearEveryEmitterButOneThatTwoHear) {
  ASSERT_EQ(osmere().stations.size(), 4U);
  ASSERT_EQ(osmere().emitters.size(), 11U);
  for (const SimulatedEmitter& e : osmere().emitters) {
    std::size_t hearing = 0;
    for (const SimulatedStation& s : osmere().stations) hearing += heard(s, e).empty() ? 0 : 1;
    EXPECT_EQ(hearing, e.name == "OSM-35" ? 2U : 4U) << e.name;
  }
}

TEST(Osmere, StillEmittersAreHeardAboutOnceASecond) {
  for (const SimulatedStation& s : osmere().stations) {
    // 0.95 of 600 bearings; four times sqrt(600 * 0.95 * 0.05).
    EXPECT_NEAR(static_cast<double>(heard(s, emitter("OSM-12")).size()), 570.0, 22.0) << s.name;
  }
}

TEST(Osmere, IntermittentEmitterIsOnThreeSecondsOfTwenty) {
  const auto all = heard(osmere().stations[0], emitter("OSM-23"));
  std::set<std::int64_t> periods;
  for (const SourceBearing& b : all) periods.insert((b.start - osmere().start) / seconds{20});
  EXPECT_EQ(periods.size(), 30U);
  EXPECT_NEAR(static_cast<double>(all.size()), 30 * 6 * 0.95, 30.0);  // one less a period at most
}

TEST(Osmere, TwoEmittersShareAChannelAndStandFarApart) {
  EXPECT_EQ(emitter("OSM-29-NORTH").frequency_hz, emitter("OSM-29-SOUTH").frequency_hz);
  EXPECT_GT(azimuth_distance(emitter("OSM-29-NORTH").path.at(seconds{0}),
                             emitter("OSM-29-SOUTH").path.at(seconds{0}))
                .distance_m,
            20'000.0);
}

TEST(Osmere, VehicleMovesAtRoadSpeed) {
  const Path& path = emitter("OSM-27").path;
  EXPECT_TRUE(path.moves());
  const double moved = azimuth_distance(path.at(seconds{0}), path.at(seconds{60})).distance_m;
  EXPECT_NEAR(moved, 900.0, 1.0);  // the first leg is longer than that, and straight
}

TEST(Osmere, ReflectionTurnsOneEmittersAzimuthAtMossRidgeByManySigmas) {
  for (const SimulatedStation& s : osmere().stations) {
    const auto truth =
        azimuth_distance(s.position, emitter("OSM-31").path.at(seconds{0})).azimuth_deg;
    std::vector<double> errors;
    for (const SourceBearing& b : heard(s, emitter("OSM-31"))) {
      errors.push_back(std::abs(wrap_180(b.azimuth_deg - truth)));
    }
    std::nth_element(errors.begin(), errors.begin() + errors.size() / 2, errors.end());
    const double median = errors[errors.size() / 2];
    if (s.name == "MOSS-RIDGE") {
      EXPECT_GT(median, 10.0);
    } else {
      EXPECT_LT(median, 2.5);  // 0.67 sigma of noise, and the bias
    }
  }
}

TEST(Osmere, FrequenciesAreDistinctChannelsOfTheBandsItClaims) {
  std::set<std::int64_t> channels;
  for (const SimulatedEmitter& e : osmere().emitters) {
    const double mhz = e.frequency_hz / 1e6;
    EXPECT_TRUE((mhz >= 145.0 && mhz <= 174.0) || (mhz >= 410.0 && mhz <= 470.0)) << e.name;
    channels.insert(std::llround(e.frequency_hz / 12'500.0));
  }
  EXPECT_EQ(channels.size(), 10U);  // eleven emitters, two of them on one
}

}  // namespace
}  // namespace fixwright::agent
