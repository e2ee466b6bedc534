#include "server/track/association.hpp"

#include <gtest/gtest.h>

#include "server/geodesy/local_frame.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;

class Association : public ::testing::Test {
 protected:
  std::vector<Claim> claim(const std::vector<Bearing>& bearings) {
    return claim_bearings(tracks_, bearings, SiteErrors(stations_, 1.0), rules_);
  }

  Stations stations_ = four_stations(0.0);
  ChannelTracks tracks_{{still_emitter(kPlace, 1.0)}};
  TrackRules rules_;
};

TEST_F(Association, ABearingJustInsideThreeSigmasIsClaimedOneOutsideIsNot) {
  // The place's metre adds nothing to a sigma of 1 degree at 20 km.
  const auto claims = claim({bearing_to(stations_.at(1), kPlace, 0.0, 2.99),
                             bearing_to(stations_.at(2), kPlace, 0.0, 3.01)});
  EXPECT_EQ(claims[0].emitter, 0);
  EXPECT_EQ(claims[1].emitter, kNobody);
}

TEST_F(Association, AnUncertainPlaceWidensTheGate) {
  tracks_.emitters[0] = still_emitter(kPlace, 1000.0);  // 2.9 degrees at 20 km
  EXPECT_EQ(claim({bearing_to(stations_.at(1), kPlace, 0.0, 8.0)})[0].emitter, 0);
}

TEST_F(Association, OfOneInstantAStationGivesAnEmitterOneBearingTheBest) {
  auto first = bearing_to(stations_.at(1), kPlace, 0.0, 1.5);
  auto second = bearing_to(stations_.at(1), kPlace, 0.0, 0.2);
  second.key.sequence = first.key.sequence + 1;
  const auto claims = claim({first, second});
  EXPECT_EQ(claims[0].emitter, kNobody);
  EXPECT_EQ(claims[1].emitter, 0);
}

TEST_F(Association, BelievedEmittersChooseBeforeTentativeOnes) {
  auto ghost = still_emitter(kPlace, 1.0, 2);
  ghost.shown.state = EmitterState::tentative;
  tracks_.emitters = {ghost, still_emitter(geodesy::displace(kPlace, {300.0, 0.0}), 1.0, 3)};
  // The bearing points at the ghost exactly, and lies within the gate of the other.
  EXPECT_EQ(claim({bearing_to(stations_.at(1), kPlace)})[0].emitter, 1);
}

TEST_F(Association, AnAlternativeAzimuthMayBeTheOneBelieved) {
  auto b = bearing_to(stations_.at(1), kPlace, 0.0, 40.0);
  b.alternatives = {{180.5, 0.6}};
  const auto claims = claim({b});
  EXPECT_EQ(claims[0].emitter, 0);
  EXPECT_EQ(claims[0].azimuth_deg, 180.5);
}

TEST_F(Association, TheStationsBiasIsTakenOffBeforeTheGate) {
  stations_[1].bias_deg = 10.0;
  EXPECT_EQ(claim({bearing_to(stations_.at(1), kPlace, 0.0, 10.0)})[0].emitter, 0);
  EXPECT_EQ(claim({bearing_to(stations_.at(1), kPlace)})[0].emitter, kNobody);
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
  EXPECT_EQ(claim({bearing_to(stations_.at(1), where(50), 50.0)})[0].emitter, 0);
  EXPECT_EQ(claim({bearing_to(stations_.at(1), kPlace, 50.0)})[0].emitter, kNobody);
}

TEST_F(Association, AMoverUnheardTooLongClaimsNothing) {
  tracks_.emitters[0].shown.motion = Motion::moving;
  EXPECT_EQ(claim({bearing_to(stations_.at(1), kPlace, 1.0)})[0].emitter, 0);
  // 20 m/s of unknown speed for 300 s: 6 km, past the 5 km limit.
  EXPECT_EQ(claim({bearing_to(stations_.at(1), kPlace, 300.0)})[0].emitter, kNobody);
}

TEST_F(Association, AnUnsynchronisedBearingSaysNothingOfAMover) {
  tracks_.emitters[0].shown.motion = Motion::moving;
  auto b = bearing_to(stations_.at(1), kPlace, 1.0);
  b.flags = kFlagClockUnsynchronised;
  EXPECT_EQ(claim({b})[0].emitter, kNobody);
}

}  // namespace
}  // namespace fixwright::track
