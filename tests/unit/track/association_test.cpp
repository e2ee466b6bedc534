#include "server/track/association.hpp"

#include <gtest/gtest.h>

#include "server/geodesy/local_frame.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;

class Association : public ::testing::Test {
 protected:
  std::vector<Option> options(const std::vector<Bearing>& bearings) {
    return options_of(tracks_, bearings, SiteErrors(stations_, 1.0), rules_);
  }
  std::size_t count(const Bearing& b) { return options({b}).size(); }

  Stations stations_ = four_stations(0.0);
  ChannelTracks tracks_{{still_emitter(kPlace, 1.0)}};
  TrackRules rules_;
};

TEST_F(Association, ABearingJustInsideThreeSigmasIsAnOptionOneOutsideIsNot) {
  // The place's metre adds nothing to a sigma of 1 degree at 20 km.
  EXPECT_EQ(count(bearing_to(stations_.at(1), kPlace, 0.0, 2.99)), 1U);
  EXPECT_EQ(count(bearing_to(stations_.at(2), kPlace, 0.0, 3.01)), 0U);
}

TEST_F(Association, TheDensityIsTheNormalOnes) {
  // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.6.1: the standard normal density is
  // 0.39894 at 0 and 0.24197 at 1; sigma is 1 degree. The place's metre moves the fourth digit.
  EXPECT_NEAR(options({bearing_to(stations_.at(1), kPlace)})[0].density, 0.39894, 1e-4);
  EXPECT_NEAR(options({bearing_to(stations_.at(1), kPlace, 0.0, 1.0)})[0].density, 0.24197, 1e-4);
}

TEST_F(Association, AnUncertainPlaceWidensTheGate) {
  tracks_.emitters[0] = still_emitter(kPlace, 1000.0);  // 2.9 degrees at 20 km
  EXPECT_EQ(count(bearing_to(stations_.at(1), kPlace, 0.0, 8.0)), 1U);
}

TEST_F(Association, AnAlternativeAzimuthMayBeTheOneBelieved) {
  auto b = bearing_to(stations_.at(1), kPlace, 0.0, 40.0);
  b.alternatives = {{180.5, 0.6}};
  const auto found = options({b});
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(found[0].azimuth_deg, 180.5);
}

TEST_F(Association, TheStationsBiasIsTakenOffBeforeTheGate) {
  stations_[1].bias_deg = 10.0;
  EXPECT_EQ(count(bearing_to(stations_.at(1), kPlace, 0.0, 10.0)), 1U);
  EXPECT_EQ(count(bearing_to(stations_.at(1), kPlace)), 0U);
}

TEST_F(Association, AMoverIsSoughtWhereItsTrackLeads) {
  EmitterRecord& e = tracks_.emitters[0];
  e.shown.motion = Motion::moving;
  const SiteErrors sites(stations_, 1.0);
  const auto where = [](double t) { return geodesy::displace(kPlace, {50.0 * t, 0.0}); };
  for (int t = 1; t <= 30; ++t) {
    for (const auto& [id, s] : stations_) {
      const Bearing b = bearing_to(s, where(t), t);
      e.moving.update(b, b.azimuth_deg, sites);
    }
  }
  EXPECT_EQ(count(bearing_to(stations_.at(1), where(50), 50.0)), 1U);
  EXPECT_EQ(count(bearing_to(stations_.at(1), kPlace, 50.0)), 0U);
}

TEST_F(Association, AMoverUnheardTooLongHasNone) {
  tracks_.emitters[0].shown.motion = Motion::moving;
  EXPECT_EQ(count(bearing_to(stations_.at(1), kPlace, 1.0)), 1U);
  // 20 m/s of unknown speed for 300 s: 6 km, past the 5 km limit.
  EXPECT_EQ(count(bearing_to(stations_.at(1), kPlace, 300.0)), 0U);
}

TEST_F(Association, AnUnsynchronisedBearingSaysNothingOfAMover) {
  tracks_.emitters[0].shown.motion = Motion::moving;
  auto b = bearing_to(stations_.at(1), kPlace, 1.0);
  b.flags = kFlagClockUnsynchronised;
  EXPECT_EQ(count(b), 0U);
}

}  // namespace
}  // namespace fixwright::track
