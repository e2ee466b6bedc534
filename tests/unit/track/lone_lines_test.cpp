#include "server/track/lone_lines.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;
using ::testing::IsEmpty;
using ::testing::SizeIs;

class LoneLines : public ::testing::Test {
 protected:
  /// Station 1 hears from kPlace, off by so much.
  void hear_at(double at_s, std::initializer_list<double> off_deg) {
    std::vector<Bearing> heard;
    for (const double off : off_deg) {
      heard.push_back(
          bearing_to(stations_.at(1), kPlace, at_s + 0.1 * static_cast<double>(heard.size()), off));
    }
    hear_alone(tracks_, heard, heard.front().start, SiteErrors(stations_, 1.0), rules_);
  }
  void hear_often() {
    for (double at_s = 0.0; at_s < 3.0; at_s += 1.0) hear_at(at_s, {0.5, -0.5});
  }

  const Stations stations_ = four_stations(0.5);
  const TrackRules rules_;
  ChannelTracks tracks_;
  Changes changes_;
};

TEST_F(LoneLines, TheMeanIsWeightedAndTheSitesErrorStays) {
  hear_often();
  ASSERT_THAT(tracks_.lines, SizeIs(1));
  const BearingOnly& line = tracks_.lines.front().shown;
  // Station 1 is due north: its azimuth to the place is 180 degrees.
  EXPECT_NEAR(line.azimuth_deg, 180.0, 1e-6);
  // sqrt(0.5^2 + 1^2 / 6): Bevington and Robinson, Data Reduction, ch. 4, error of a weighted mean;
  // the site's part averages away with nothing (common practice, no source).
  EXPECT_NEAR(line.sigma_deg, std::sqrt(0.25 + 1.0 / 6.0), 1e-12);
  EXPECT_EQ(line.transmissions, 3U);
  EXPECT_EQ(line.bearings, 6U);
  EXPECT_TRUE(worth_showing(tracks_.lines.front(), rules_));
}

TEST_F(LoneLines, ABearingBeyondTheGateBeginsItsOwn) {
  hear_at(0.0, {0.0, 0.1});
  hear_at(1.0, {10.0});
  EXPECT_THAT(tracks_.lines, SizeIs(2));
}

TEST_F(LoneLines, ItIsNotShownOfTwoTransmissionsHoweverManyBearings) {
  hear_at(0.0, {0.0, 0.1, 0.2, 0.3});
  hear_at(1.0, {0.0, 0.1, 0.2, 0.3});
  EXPECT_FALSE(worth_showing(tracks_.lines.front(), rules_));
}

TEST_F(LoneLines, ClutterFillsNoMoreThanSoManyAndNeverPushesAShownOneOut) {
  hear_often();
  for (int i = 0; i < 40; ++i) hear_at(10.0 + i, {20.0 + 8.0 * i});
  EXPECT_LE(tracks_.lines.size(), 16U);
  EXPECT_TRUE(worth_showing(tracks_.lines.front(), rules_));
}

TEST_F(LoneLines, OneNotWorthShowingGoesWithoutAWord) {
  hear_at(0.0, {0.0});
  end_silent_lines(tracks_, kNoon + from_seconds(601.0), rules_, changes_);
  EXPECT_THAT(tracks_.lines, IsEmpty());
  EXPECT_THAT(changes_.ended_lines, IsEmpty());
}

TEST_F(LoneLines, DueIsWhenItEnds) {
  hear_often();
  const TimePoint due = next_line_due(tracks_, rules_);
  end_silent_lines(tracks_, due - Duration{1}, rules_, changes_);
  EXPECT_THAT(tracks_.lines, SizeIs(1));
  end_silent_lines(tracks_, due, rules_, changes_);
  EXPECT_THAT(tracks_.lines, IsEmpty());
  ASSERT_THAT(changes_.ended_lines, SizeIs(1));
  EXPECT_EQ(changes_.ended_lines.front().state, BearingOnlyState::ended);
  EXPECT_EQ(next_line_due(tracks_, rules_), TimePoint::max());
}

TEST_F(LoneLines, ABelievedEmitterWhereItPointsIsIt) {
  hear_often();
  tracks_.emitters.push_back(still_emitter(kPlace, 500.0));
  tracks_.emitters.front().shown.state = EmitterState::tentative;
  locate_lines(tracks_, rules_, changes_);
  EXPECT_THAT(tracks_.lines, SizeIs(1));
  tracks_.emitters.front().shown.state = EmitterState::confirmed;
  locate_lines(tracks_, rules_, changes_);
  EXPECT_THAT(tracks_.lines, IsEmpty());
  ASSERT_THAT(changes_.ended_lines, SizeIs(1));
  EXPECT_EQ(changes_.ended_lines.front().emitter, tracks_.emitters.front().shown.key);
}

TEST_F(LoneLines, OneBehindTheStationIsNotIt) {
  hear_often();
  const GeoPoint behind = geodesy::direct(stations_.at(1).position, 0.0, 20e3);
  tracks_.emitters.push_back(still_emitter(behind, 500.0));
  locate_lines(tracks_, rules_, changes_);
  EXPECT_THAT(tracks_.lines, SizeIs(1));
}

}  // namespace
}  // namespace fixwright::track
