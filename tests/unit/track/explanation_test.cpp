#include "server/track/explanation.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "server/geodesy/local_frame.hpp"
#include "tests/support/scenario/simulator.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;

/// Heard by all four in some of the last transmissions.
EmitterRecord known_emitter(GeoPoint place, double sigma_m, std::int64_t id) {
  EmitterRecord e = still_emitter(place, sigma_m, id);
  e.shown.stations = {1, 2, 3, 4};
  e.habits.count_transmission(1.0);
  for (StationId s = 1; s <= 4; ++s) e.habits.count_station(s, 1.0, 1.0);
  return e;
}

/// The second stands behind the first, seen from station 1: two degrees apart there, far apart
/// for the others.
class Explaining : public ::testing::Test {
 protected:
  Explanation explained(const std::vector<Bearing>& bearings) {
    return explain(tracks_, bearings, SiteErrors(stations_, 1.0), TrackRules{});
  }
  std::vector<Claim> claims(const std::vector<Bearing>& bearings) {
    return explained(bearings).claims;
  }
  std::vector<Bearing> both_but_one_at_the_first(double off_deg) {
    return {bearing_to(stations_.at(1), kPlace, 0.0, off_deg),
            bearing_to(stations_.at(2), kPlace, 0.1), bearing_to(stations_.at(2), behind_, 0.1),
            bearing_to(stations_.at(4), kPlace, 0.3), bearing_to(stations_.at(4), behind_, 0.3)};
  }

  Stations stations_ = four_stations(0.0);
  GeoPoint behind_ = geodesy::direct(stations_.at(1).position, 182.0, 35'000.0);
  ChannelTracks tracks_{{known_emitter(kPlace, 50.0, 1), known_emitter(behind_, 50.0, 2)}};
};

TEST_F(Explaining, ABearingTowardsOneThatNobodyElseHearsGoesToTheOneTheyHear) {
  // Nearer to the second, within the gate of the first, which stations 2 to 4 hear.
  const auto found = explained(
      {bearing_to(stations_.at(1), kPlace, 0.0, 1.6), bearing_to(stations_.at(2), kPlace, 0.1),
       bearing_to(stations_.at(3), kPlace, 0.2, 0.3), bearing_to(stations_.at(4), kPlace, 0.3)});
  for (const Claim& c : found.claims) EXPECT_EQ(c.emitter, 0);
  EXPECT_GT(found.presence[0].on_air, 0.99);
  EXPECT_LT(found.presence[1].on_air, 0.05);
}

TEST_F(Explaining, BothOnTheAirKeepTheirOwn) {
  auto second = bearing_to(stations_.at(1), behind_, 0.0);
  second.key.sequence += 1;
  const auto found =
      claims({bearing_to(stations_.at(1), kPlace, 0.0), second,
              bearing_to(stations_.at(2), kPlace, 0.1), bearing_to(stations_.at(3), behind_, 0.2),
              bearing_to(stations_.at(4), kPlace, 0.3), bearing_to(stations_.at(4), behind_, 0.4)});
  EXPECT_EQ(found[0].emitter, 0);
  EXPECT_EQ(found[1].emitter, 1);
  EXPECT_EQ(found[2].emitter, 0);
  EXPECT_EQ(found[4].emitter, 0);
  EXPECT_EQ(found[5].emitter, 1);
}

TEST_F(Explaining, HalfwayBetweenTwoOnTheAirABearingIsHalfEachs) {
  const auto found = claims(both_but_one_at_the_first(1.0));
  ASSERT_EQ(found[0].shares.size(), 2U);
  // Not quite half: the second's 50 m are the smaller angle, at 35 km.
  EXPECT_NEAR(found[0].shares[0].probability, 0.5, 0.01);
  EXPECT_NEAR(found[0].shares[1].probability, 0.5, 0.01);
}

TEST_F(Explaining, TheSharesOfBearingsLeaveTheirEmittersWhereTheyAre) {
  // Two degrees apart and a sigma of one: the nearer one's whole bearings would lie 0.17 degrees
  // off (the mean of a normal cut off one sigma away), their shares lie off by nothing. 4000 of
  // them, 0.5 shared: 0.02 degrees of noise, held to three of its sigmas.
  scenario::Dice dice(7);
  double sum = 0.0;
  double weight = 0.0;
  for (int i = 0; i < 4000; ++i) {
    const double truth_deg = dice.uniform() < 0.5 ? 0.0 : 2.0;
    const double off = truth_deg + dice.normal();
    const auto found = claims(both_but_one_at_the_first(off));
    for (const Share& s : found[0].shares) {
      if (s.emitter != 0) continue;
      sum += s.probability * off;
      weight += s.probability;
    }
  }
  EXPECT_NEAR(sum / weight, 0.0, 0.06);
}

TEST_F(Explaining, OneThatASingleStationHearsIsStillHeard) {
  EXPECT_EQ(claims({bearing_to(stations_.at(2), kPlace)})[0].emitter, 0);
}

TEST_F(Explaining, OfOneInstantAStationGivesAnEmitterOneBearingTheBest) {
  auto first = bearing_to(stations_.at(2), kPlace, 0.0, 2.0);
  auto second = bearing_to(stations_.at(2), kPlace, 0.0, 0.2);
  second.key.sequence = first.key.sequence + 1;
  const auto found = claims({first, second});
  EXPECT_EQ(found[0].emitter, kNobody);
  EXPECT_EQ(found[1].emitter, 0);
}

TEST_F(Explaining, BelievedEmittersComeBeforeTentativeOnes) {
  auto ghost = known_emitter(kPlace, 1.0, 2);
  ghost.shown.state = EmitterState::tentative;
  tracks_.emitters = {ghost, known_emitter(geodesy::displace(kPlace, {300.0, 0.0}), 1.0, 3)};
  // The bearing points at the ghost exactly, and lies within the gate of the other.
  EXPECT_EQ(claims({bearing_to(stations_.at(1), kPlace)})[0].emitter, 1);
}

TEST_F(Explaining, OfACrowdTheLikeliestAreWeighed) {
  tracks_.emitters.clear();
  for (int i = 0; i < 30; ++i) {
    tracks_.emitters.push_back(
        known_emitter(geodesy::displace(kPlace, {60.0 * i - 900.0, 0.0}), 50.0, i + 1));
  }
  const auto found = explained({bearing_to(stations_.at(1), kPlace)});
  EXPECT_EQ(found.claims[0].shares.size(), 5U);
  EXPECT_EQ(found.presence.size(), 30U);
}

TEST_F(Explaining, OneEmitterAndOneBearingAsOnPaper) {
  // On the air or not are even (on_air), it hears 0.833 = (1 + 4) / (1 + 5) of them, and three
  // others that know it heard nothing, which has 1/6 each: Bayes' rule, worked by hand.
  tracks_.emitters = {known_emitter(kPlace, 1.0, 1)};
  const Habits& habits = tracks_.emitters[0].habits;
  ASSERT_NEAR(habits.on_air(), 2.0 / 3.0, 1e-9);
  ASSERT_NEAR(*habits.heard_by(1), 5.0 / 6.0, 1e-9);
  const auto found = explained({bearing_to(stations_.at(1), kPlace)});
  const double ratio = 0.39894 / (0.05 / 360.0);
  const double on = 2.0 / 3.0 * std::pow(1.0 / 6.0, 3);
  const double heard = on * 5.0 / 6.0 * ratio;
  const double missed = on / 6.0;
  EXPECT_NEAR(found.log_likelihood, std::log(heard + missed + 1.0 / 3.0), 1e-3);
  EXPECT_NEAR(found.presence[0].on_air, (heard + missed) / (heard + missed + 1.0 / 3.0), 1e-3);
  EXPECT_NEAR(found.claims[0].shares[0].probability, heard / (heard + missed + 1.0 / 3.0), 1e-3);
}

TEST_F(Explaining, ALongTransmissionIsWeighedWithoutOverflow) {
  std::vector<Bearing> bearings;
  for (int t = 0; t < 2000; ++t) bearings.push_back(bearing_to(stations_.at(2), kPlace, t));
  const auto found = explained(bearings);
  EXPECT_TRUE(std::isfinite(found.log_likelihood));
  for (const Claim& c : found.claims) EXPECT_EQ(c.emitter, 0);
}

TEST_F(Explaining, AFloodOfOneInstantIsWeighedByItsLikeliest) {
  // 200 bearings of one station and one moment, all within the gate of five emitters: all ways to
  // give them out would be some 200^5.
  tracks_.emitters.clear();
  for (int i = 0; i < 5; ++i) {
    tracks_.emitters.push_back(
        known_emitter(geodesy::displace(kPlace, {60.0 * i - 120.0, 0.0}), 50.0, i + 1));
  }
  std::vector<Bearing> flood;
  for (int i = 0; i < 200; ++i) {
    flood.push_back(bearing_to(stations_.at(1), kPlace, 0.0, 0.01 * i - 1.0));
    flood.back().key.sequence = static_cast<std::uint64_t>(i) + 1;
  }
  const auto found = explained(flood);
  EXPECT_TRUE(std::isfinite(found.log_likelihood));
  double on_air = 0.0;
  for (const Presence& p : found.presence) {
    on_air += p.on_air;
    EXPECT_LE(p.heard.front().second, p.on_air + 1e-9);  // of each at most one bearing
  }
  EXPECT_GT(on_air, 1.0);
  for (const Claim& c : found.claims) EXPECT_EQ(c.emitter, kNobody);  // any could be any's
}

}  // namespace
}  // namespace fixwright::track
