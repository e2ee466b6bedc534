#include "server/track/split.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <deque>

#include "server/geodesy/local_frame.hpp"
#include "tests/support/scenario/simulator.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;

constexpr double kHalf_m = 500.0;

/// One emitter that heard looks of two, `half` north and south of it, in turn.
EmitterRecord heard_as_one(double half_m) {
  const Stations stations = four_stations(0.0);
  const SiteErrors sites(stations, 1.0);
  scenario::Dice dice(1);
  EmitterRecord e = still_emitter(kPlace, 50.0, 7);
  for (int i = 0; i < 200; ++i) {
    const GeoPoint place = geodesy::displace(kPlace, {0.0, i % 2 == 0 ? half_m : -half_m});
    std::deque<Bearing> bearings;
    std::vector<HeardBearing> heard;
    for (const auto& [id, s] : stations) {
      bearings.push_back(bearing_to(s, place, i, dice.normal()));
      heard.push_back({&bearings.back(), bearings.back().azimuth_deg, 1.0});
      e.sums.add(bearings.back(), bearings.back().azimuth_deg, sites);
    }
    e.scatter.add_look(heard, e.sums, kPlace, sites);
  }
  e.shown.looks = 200;
  e.shown.last_heard = kNoon + std::chrono::seconds{199};
  return e;
}

class Splitting : public ::testing::Test {
 protected:
  bool split() { return split_twins(tracks_, 0, {5, 99}, at_, rules_, changes_); }

  TimePoint at_ = kNoon + std::chrono::seconds{200};
  TrackRules rules_;
  Changes changes_;
  ChannelTracks tracks_{{heard_as_one(kHalf_m)}};
};

TEST_F(Splitting, TheTwoStandWhereTheLooksSay) {
  ASSERT_TRUE(split());
  ASSERT_EQ(tracks_.emitters.size(), 2U);
  const auto a = geodesy::offset(kPlace, tracks_.emitters[0].shown.fix.position);
  const auto b = geodesy::offset(kPlace, tracks_.emitters[1].shown.fix.position);
  // A half separation from some 160 looks is good to 6 % (see the test of Scatter): three sigmas.
  EXPECT_NEAR(std::abs(a.north_m), kHalf_m, 90.0);
  EXPECT_NEAR(a.north_m, -b.north_m, 1.0);
  EXPECT_EQ(tracks_.emitters[1].shown.key, (EmitterKey{5, 99}));
}

TEST_F(Splitting, BothAreToldOfWithTheirEvidence) {
  ASSERT_TRUE(split());
  ASSERT_EQ(changes_.events.size(), 2U);
  EXPECT_EQ(changes_.events[0].kind, EmitterEventKind::split);
  EXPECT_EQ(changes_.events[0].emitter, (EmitterKey{5, 7}));
  EXPECT_EQ(changes_.events[1].kind, EmitterEventKind::born);
  EXPECT_EQ(changes_.events[1].emitter, (EmitterKey{5, 99}));
  EXPECT_NE(changes_.events[0].evidence.find("1.0 km apart"), std::string::npos)
      << changes_.events[0].evidence;
}

TEST_F(Splitting, BothBeginAtRestThereKnowingNothingOfMotion) {
  tracks_.emitters[0].moving_log_ratio = 5.0;
  tracks_.emitters[0].moving_over_steady_log = 4.0;
  ASSERT_TRUE(split());
  for (const EmitterRecord& e : tracks_.emitters) {
    SCOPED_TRACE(e.shown.key.id);
    EXPECT_EQ(e.moving_log_ratio, 0.0);
    EXPECT_EQ(e.moving_over_steady_log, 0.0);
    EXPECT_EQ(e.place_since, at_);
    for (const MotionFilter* f : {&e.resting, &e.moving}) {
      EXPECT_EQ(f->at(), at_);
      const auto off = geodesy::offset(e.shown.fix.position, f->position());
      EXPECT_LT(std::hypot(off.east_m, off.north_m), 1.0);
      // As sure as the middle was across the line, and no surer along it than half its length.
      EXPECT_NEAR(std::sqrt(f->covariance().ee_m2), 50.0, 15.0);
      EXPECT_NEAR(std::sqrt(f->covariance().nn_m2), kHalf_m, 90.0);
    }
    EXPECT_EQ(e.resting.velocity().speed_m_per_s, 0.0);
  }
}

TEST_F(Splitting, OneAloneStaysOne) {
  tracks_.emitters[0] = heard_as_one(0.0);
  EXPECT_FALSE(split());
  EXPECT_EQ(tracks_.emitters.size(), 1U);
  EXPECT_TRUE(changes_.events.empty());
}

TEST_F(Splitting, OneThatIsNotYetBelievedOrMovesStaysOne) {
  tracks_.emitters[0].shown.state = EmitterState::tentative;
  EXPECT_FALSE(split());
  tracks_.emitters[0].shown.state = EmitterState::confirmed;
  tracks_.emitters[0].shown.motion = Motion::moving;
  EXPECT_FALSE(split());
}

}  // namespace
}  // namespace fixwright::track
