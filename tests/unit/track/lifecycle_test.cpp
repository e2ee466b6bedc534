#include "server/track/lifecycle.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;
using std::chrono::hours;
using std::chrono::seconds;
using ::testing::IsEmpty;
using ::testing::SizeIs;

class Lifecycle : public ::testing::Test {
 protected:
  /// One look of so many stations at a time.
  void hear_at(EmitterRecord& e, double at_s, int stations) {
    std::vector<Bearing> bearings;
    for (StationId id = 1; id <= stations; ++id) {
      bearings.push_back(bearing_to(stations_.at(id), kPlace, at_s));
    }
    std::vector<HeardBearing> heard;
    for (const Bearing& b : bearings) heard.push_back({&b, b.azimuth_deg});
    hear(e, heard, SiteErrors(stations_, 1.0), rules_, changes_);
  }

  static EmitterRecord tentative() {
    auto e = still_emitter(kPlace, 500.0);
    e.shown.state = EmitterState::tentative;
    return e;
  }

  Stations stations_ = four_stations();
  TrackRules rules_;
  Changes changes_;
};

TEST_F(Lifecycle, SixBearingsAndTwoLooksOfThreeStationsConfirm) {
  auto e = tentative();
  hear_at(e, 1.0, 4);
  EXPECT_EQ(e.shown.state, EmitterState::tentative);  // one look
  hear_at(e, 10.0, 2);
  EXPECT_EQ(e.shown.state, EmitterState::tentative);  // six bearings, still one look
  hear_at(e, 20.0, 3);
  EXPECT_EQ(e.shown.state, EmitterState::confirmed);
  EXPECT_EQ(e.shown.looks, 2U);
  ASSERT_THAT(changes_.events, SizeIs(1));
  EXPECT_EQ(changes_.events[0].kind, EmitterEventKind::confirmed);
  EXPECT_EQ(changes_.events[0].at, kNoon + seconds{20});
}

TEST_F(Lifecycle, TwoStationsNeverConfirm) {
  auto e = tentative();
  for (int i = 0; i < 100; ++i) hear_at(e, i * 10.0, 2);
  EXPECT_EQ(e.shown.state, EmitterState::tentative);
  EXPECT_EQ(e.shown.bearings, 200U);
}

TEST_F(Lifecycle, UnheardItFallsSilentWhenDueHoweverLateOneLooks) {
  ChannelTracks tracks{{still_emitter(kPlace, 100.0)}};
  let_time_pass(tracks, kNoon + seconds{599}, rules_, changes_);
  EXPECT_THAT(changes_.events, IsEmpty());
  let_time_pass(tracks, kNoon + hours{5}, rules_, changes_);
  ASSERT_THAT(changes_.events, SizeIs(1));
  EXPECT_EQ(changes_.events[0].kind, EmitterEventKind::silent);
  EXPECT_EQ(changes_.events[0].at, kNoon + seconds{600});
  EXPECT_EQ(tracks.emitters[0].shown.state, EmitterState::silent);
  let_time_pass(tracks, kNoon + hours{6}, rules_, changes_);
  EXPECT_THAT(changes_.events, SizeIs(1));
}

TEST_F(Lifecycle, HeardAgainItReturns) {
  auto e = still_emitter(kPlace, 100.0);
  e.shown.state = EmitterState::silent;
  hear_at(e, 3600.0, 1);
  EXPECT_EQ(e.shown.state, EmitterState::confirmed);
  ASSERT_THAT(changes_.events, SizeIs(1));
  EXPECT_EQ(changes_.events[0].kind, EmitterEventKind::returned);
}

TEST_F(Lifecycle, AMonthUnheardItIsRetiredAndForgotten) {
  ChannelTracks tracks{{still_emitter(kPlace, 100.0)}};
  let_time_pass(tracks, kNoon + hours{30 * 24}, rules_, changes_);
  EXPECT_THAT(tracks.emitters, IsEmpty());
  ASSERT_THAT(changes_.ended, SizeIs(1));
  EXPECT_EQ(changes_.ended[0].state, EmitterState::retired);
  ASSERT_THAT(changes_.events, SizeIs(2));  // silent, then retired
  EXPECT_EQ(changes_.events[1].at, kNoon + hours{30 * 24});
}

TEST_F(Lifecycle, OneNeverConfirmedIsDroppedSoonerTheLessItWasHeard) {
  ChannelTracks tracks{{tentative(), tentative()}};
  tracks.emitters[1].transmissions = 5;
  let_time_pass(tracks, kNoon + seconds{600}, rules_, changes_);
  EXPECT_THAT(tracks.emitters, SizeIs(1));
  EXPECT_EQ(next_due(tracks, rules_), kNoon + seconds{3000});
  let_time_pass(tracks, kNoon + seconds{3000}, rules_, changes_);
  EXPECT_THAT(tracks.emitters, IsEmpty());
}

TEST_F(Lifecycle, NextDueIsWhenSomethingHappens) {
  EXPECT_EQ(next_due(ChannelTracks{}, rules_), TimePoint::max());
  ChannelTracks tracks{{still_emitter(kPlace, 100.0)}};
  EXPECT_EQ(next_due(tracks, rules_), kNoon + seconds{600});
  let_time_pass(tracks, kNoon + seconds{600}, rules_, changes_);
  EXPECT_EQ(next_due(tracks, rules_), kNoon + hours{30 * 24});
}

TEST_F(Lifecycle, HearingKeepsTheBooks) {
  auto e = tentative();
  hear_at(e, 1.0, 2);
  hear_at(e, 9.0, 3);
  EXPECT_EQ(e.shown.bearings, 5U);
  EXPECT_EQ(e.transmissions, 3U);
  EXPECT_EQ(e.shown.first_heard, kNoon + seconds{1});
  EXPECT_EQ(e.shown.last_heard, kNoon + seconds{9});
  EXPECT_EQ(e.shown.frequency_hz, 146e6);
  EXPECT_THAT(e.shown.stations, ::testing::ElementsAre(1, 2, 3));
}

}  // namespace
}  // namespace fixwright::track
