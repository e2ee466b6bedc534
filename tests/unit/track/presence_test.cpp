#include "server/track/presence.hpp"

#include <gtest/gtest.h>

#include "server/geodesy/local_frame.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;

/// The second stands behind the first, seen from station 1: two degrees apart there, far apart
/// for the others.
class Presence : public ::testing::Test {
 protected:
  Presence() {
    for (auto& e : tracks_.emitters) e.shown.stations = {1, 2, 3, 4};
  }

  std::vector<Claim> claim(const std::vector<Bearing>& bearings) {
    return claim_present(tracks_, bearings, SiteErrors(stations_, 1.0), TrackRules{});
  }

  Stations stations_ = four_stations(0.0);
  GeoPoint behind_ = geodesy::direct(stations_.at(1).position, 182.0, 35'000.0);
  ChannelTracks tracks_{{still_emitter(kPlace, 50.0, 1), still_emitter(behind_, 50.0, 2)}};
};

TEST_F(Presence, ABearingTowardsOneThatNobodyElseHearsGoesToTheOneTheyHear) {
  // Nearer to the second, within the gate of the first, which stations 2 to 4 hear.
  const auto claims = claim(
      {bearing_to(stations_.at(1), kPlace, 0.0, 1.6), bearing_to(stations_.at(2), kPlace, 0.1),
       bearing_to(stations_.at(3), kPlace, 0.2, 0.3), bearing_to(stations_.at(4), kPlace, 0.3)});
  for (const Claim& c : claims) EXPECT_EQ(c.emitter, 0);
}

TEST_F(Presence, BothOnTheAirKeepTheirOwn) {
  auto second = bearing_to(stations_.at(1), behind_, 0.0);
  second.key.sequence += 1;
  const auto claims =
      claim({bearing_to(stations_.at(1), kPlace, 0.0), second,
             bearing_to(stations_.at(2), kPlace, 0.1), bearing_to(stations_.at(3), behind_, 0.2),
             bearing_to(stations_.at(4), kPlace, 0.3), bearing_to(stations_.at(4), behind_, 0.4)});
  EXPECT_EQ(claims[0].emitter, 0);
  EXPECT_EQ(claims[1].emitter, 1);
  EXPECT_EQ(claims[2].emitter, 0);
  EXPECT_EQ(claims[4].emitter, 0);
  EXPECT_EQ(claims[5].emitter, 1);
}

TEST_F(Presence, OneThatASingleStationHearsIsStillHeard) {
  EXPECT_EQ(claim({bearing_to(stations_.at(2), kPlace)})[0].emitter, 0);
}

}  // namespace
}  // namespace fixwright::track
