#include "server/track/birth.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/geodesy/local_frame.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;
using ::testing::SizeIs;

class Birth : public ::testing::Test {
 protected:
  /// A candidate of so many stations, heard once a station, 1 s apart.
  Candidacy candidate(int stations, double p_value = 0.5) {
    Candidacy c;
    for (StationId id = 1; id <= stations; ++id) {
      bearings_.push_back(bearing_to(stations_.at(id), kPlace, id - 1.0));
    }
    for (const Bearing& b : bearings_) c.heard.push_back({&b, b.azimuth_deg});
    c.stations = stations;
    c.fix.position = kPlace;
    c.fix.covariance = {250'000.0, 0.0, 250'000.0};
    c.fix.p_value = p_value;
    return c;
  }

  Stations stations_ = four_stations();
  std::vector<Bearing> bearings_;
  TrackRules rules_;
};

TEST_F(Birth, ThreeStationsThatAgreeGiveBirth) { EXPECT_TRUE(may_be_born(candidate(3), rules_)); }

TEST_F(Birth, AChiSquareOfNineWithOneDegreeOfFreedomIsTheLimit) {
  // Chi-square table, 1 degree of freedom: 9 is exceeded by 0.0027 (three sigmas).
  EXPECT_TRUE(may_be_born(candidate(3, 0.0028), rules_));
  bearings_.clear();
  EXPECT_FALSE(may_be_born(candidate(3, 0.0026), rules_));
}

TEST_F(Birth, BearingsTooFarApartInTimeGiveNone) {
  auto c = candidate(3);
  bearings_[2].start = kNoon + std::chrono::milliseconds{6001};
  EXPECT_FALSE(may_be_born(c, rules_));
}

TEST_F(Birth, TwoStationsGiveBirthOnlyWhereNothingElseIsHeard) {
  auto c = candidate(2);
  EXPECT_FALSE(may_be_born(c, rules_));
  c.alone = true;
  EXPECT_TRUE(may_be_born(c, rules_));
  c.fix.region_kind = RegionKind::likelihood;  // a direction rather than a place
  EXPECT_FALSE(may_be_born(c, rules_));
}

TEST_F(Birth, TheNewbornIsTentativeWithItsEvidence) {
  ChannelTracks tracks;
  Changes changes;
  const auto index =
      give_birth(tracks, {5, 77}, candidate(3), SiteErrors(stations_, 1.0), rules_, changes);
  const EmitterRecord& e = tracks.emitters.at(index);
  EXPECT_EQ(e.shown.key, (EmitterKey{5, 77}));
  EXPECT_EQ(e.shown.state, EmitterState::tentative);
  EXPECT_EQ(e.shown.bearings, 3U);
  EXPECT_EQ(e.shown.looks, 1U);
  EXPECT_EQ(e.shown.fix.position, kPlace);
  ASSERT_THAT(changes.events, SizeIs(1));
  EXPECT_EQ(changes.events[0].kind, EmitterEventKind::born);
  EXPECT_THAT(changes.events[0].evidence, ::testing::HasSubstr("3 stations"));
}

TEST_F(Birth, ACandidateWhereAnEmitterStandsIsThatEmitter) {
  const auto c = candidate(3);
  const std::vector<Claim> nobody(bearings_.size());
  ChannelTracks tracks{{still_emitter(geodesy::displace(kPlace, {1600.0, 0.0}), 100.0)}};
  EXPECT_EQ(known_at(tracks, c, nobody, bearings_, rules_), 0);  // 3.1 sigmas of 510 m
  tracks.emitters[0] = still_emitter(geodesy::displace(kPlace, {1800.0, 0.0}), 100.0);
  EXPECT_EQ(known_at(tracks, c, nobody, bearings_, rules_), kNobody);
}

TEST_F(Birth, HeardBesideTheEmitterAtOneInstantItIsSomebodyElse) {
  auto c = candidate(3);
  const ChannelTracks tracks{{still_emitter(kPlace, 100.0)}};
  std::vector<Bearing> all = bearings_;
  all.push_back(bearing_to(stations_.at(1), kPlace, 0.0, 2.0));
  std::vector<Claim> claims(all.size());
  claims.back().emitter = 0;
  EXPECT_EQ(known_at(tracks, c, claims, all, rules_), kNobody);
}

}  // namespace
}  // namespace fixwright::track
