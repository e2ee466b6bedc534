#include "server/align/aligner.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

namespace fixwright::align {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;
using ::testing::ElementsAre;
using ::testing::Field;
using ::testing::IsEmpty;
using ::testing::SizeIs;

const TimePoint kNoon{std::chrono::hours{500'000}};

Bearing bearing(double at_s, StationId station = 1, ChannelId channel = 5) {
  Bearing b;
  b.channel = channel;
  b.start = kNoon + from_seconds(at_s);
  b.key = {station, 1, static_cast<std::uint64_t>(at_s * 1000.0) + 1};
  return b;
}

/// Moves the watermark to this time.
void watermark_to(Aligner& aligner, double at_s) {
  const TimePoint low = kNoon + from_seconds(at_s + 2.0);  // the slack
  aligner.heartbeat({1, low, low, {}, ClockState::synchronised});
}

/// The transmissions of the only channel that changed.
std::vector<Transmission> take_one(Aligner& aligner) {
  auto out = aligner.take();
  EXPECT_THAT(out.channels, SizeIs(1));
  return out.channels.empty() ? std::vector<Transmission>{} : out.channels.front().transmissions;
}

TEST(Aligner, ATransmissionIsProvisionalThenRevisedThenFinal) {
  Aligner aligner{AlignRules{}};
  aligner.bearing(bearing(0.0));
  aligner.bearing(bearing(1.0, 2));
  const auto first = take_one(aligner);
  ASSERT_THAT(first, SizeIs(1));
  EXPECT_EQ(first[0].state, ResultState::provisional);
  EXPECT_EQ(first[0].revision, 1U);
  EXPECT_THAT(first[0].bearings, SizeIs(2));

  watermark_to(aligner, 3.5);
  const auto second = take_one(aligner);
  EXPECT_EQ(second.at(0).state, ResultState::revised);
  EXPECT_EQ(second.at(0).revision, 2U);

  watermark_to(aligner, 63.5);
  const auto third = take_one(aligner);
  EXPECT_EQ(third.at(0).state, ResultState::final);
  EXPECT_EQ(third.at(0).revision, 3U);
  EXPECT_EQ(aligner.pending(), 0U);
  EXPECT_THAT(aligner.take().channels, IsEmpty());
}

TEST(Aligner, NothingChangedIsNothingSaid) {
  Aligner aligner{AlignRules{}};
  aligner.bearing(bearing(0.0));
  static_cast<void>(aligner.take());
  watermark_to(aligner, 1.0);
  EXPECT_THAT(aligner.take().channels, IsEmpty());
}

TEST(Aligner, TheSameBearingTwiceCountsOnce) {
  Aligner aligner{AlignRules{}};
  aligner.bearing(bearing(0.0));
  aligner.bearing(bearing(0.0));
  EXPECT_EQ(aligner.pending(), 1U);
}

TEST(Aligner, AnEarlierBearingWithdrawsTheKeyAndGivesANewOne) {
  Aligner aligner{AlignRules{}};
  aligner.bearing(bearing(1.0));
  static_cast<void>(aligner.take());
  aligner.bearing(bearing(0.5, 2));
  const auto changed = take_one(aligner);
  ASSERT_THAT(changed, SizeIs(2));
  EXPECT_EQ(changed[0].key.start, kNoon + milliseconds{500});
  EXPECT_THAT(changed[0].bearings, SizeIs(2));
  EXPECT_EQ(changed[1].key.start, kNoon + seconds{1});
  EXPECT_EQ(changed[1].state, ResultState::withdrawn);
  EXPECT_EQ(changed[1].revision, 2U);
  EXPECT_THAT(changed[1].bearings, IsEmpty());
}

TEST(Aligner, AWithdrawnKeyThatComesBackGoesOnWithItsRevisions) {
  Aligner aligner{AlignRules{}};
  for (const double s : {1.0, 2.0, 3.0, 4.0, 5.0, 6.0}) aligner.bearing(bearing(s));
  ASSERT_THAT(take_one(aligner), SizeIs(2));  // from 1 and from 6
  aligner.bearing(bearing(0.0, 2));           // now from 0 and from 5
  const auto moved = take_one(aligner);
  ASSERT_THAT(moved, SizeIs(4));
  EXPECT_EQ(moved[3].key.start, kNoon + seconds{6});
  EXPECT_EQ(moved[3].state, ResultState::withdrawn);
  aligner.bearing(bearing(-4.0, 2));
  aligner.bearing(bearing(-2.0, 2));  // bridges: now from -4, from 1 and from 6 again
  const auto back = take_one(aligner);
  const auto six = std::find_if(back.begin(), back.end(), [](const Transmission& t) {
    return t.key.start == kNoon + seconds{6};
  });
  ASSERT_NE(six, back.end());
  EXPECT_EQ(six->state, ResultState::provisional);
  EXPECT_EQ(six->revision, 3U);
}

TEST(Aligner, BearingsPastTheLatenessComeOutAsLate) {
  Aligner aligner{AlignRules{}};
  watermark_to(aligner, 100.0);
  aligner.bearing(bearing(39.999));
  aligner.bearing(bearing(40.0));
  const auto out = aligner.take();
  ASSERT_THAT(out.late, SizeIs(1));
  EXPECT_EQ(out.late[0].start, kNoon + milliseconds{39999});
  EXPECT_THAT(out.channels, SizeIs(1));
  EXPECT_THAT(aligner.take().late, IsEmpty());
}

TEST(Aligner, FinishMakesEverythingFinal) {
  Aligner aligner{AlignRules{}};
  for (const double s : {0.0, 1.0, 10.0, 11.0}) aligner.bearing(bearing(s));
  aligner.finish();
  const auto all = take_one(aligner);
  EXPECT_THAT(all, SizeIs(2));
  for (const Transmission& t : all) EXPECT_EQ(t.state, ResultState::final);
  EXPECT_EQ(aligner.pending(), 0U);
}

TEST(Aligner, ChannelsAreCutApart) {
  Aligner aligner{AlignRules{}};
  aligner.bearing(bearing(0.0, 1, 7));
  aligner.bearing(bearing(0.1, 1, 3));
  const auto out = aligner.take();
  EXPECT_THAT(out.channels,
              ElementsAre(Field(&ChannelChange::channel, 3), Field(&ChannelChange::channel, 7)));
}

TEST(Aligner, HoldsNoMoreThanTheLatenessOfWhatFlowsThrough) {
  Aligner aligner{AlignRules{}};
  for (int s = 0; s < 2000; ++s) {
    aligner.bearing(bearing(s));
    watermark_to(aligner, s - 2.0);
    static_cast<void>(aligner.take());
  }
  // One a second: 60 s of lateness, 2 of the watermark, 5 of an open transmission.
  EXPECT_LE(aligner.pending(), 68U);
}

/// Final transmissions, by feeding in a given order with the watermark in step.
std::vector<Transmission> finals(const std::vector<Bearing>& in_order_of_arrival) {
  Aligner aligner{AlignRules{}};
  std::vector<Transmission> all;
  const auto collect = [&] {
    for (const auto& change : aligner.take().channels) {
      for (const Transmission& t : change.transmissions) {
        if (t.state == ResultState::final) all.push_back(t);
      }
    }
  };
  for (const Bearing& b : in_order_of_arrival) {
    aligner.bearing(b);
    collect();
  }
  aligner.finish();
  collect();
  return all;
}

TEST(Aligner, FinalTransmissionsDependOnTheSetOfBearingsAlone) {
  std::vector<Bearing> bearings;
  for (int i = 0; i < 200; ++i) bearings.push_back(bearing(i * 0.7 + (i % 7 == 0 ? 1.9 : 0.0)));
  auto backwards = bearings;
  std::reverse(backwards.begin(), backwards.end());
  const auto expected = finals(bearings);
  const auto found = finals(backwards);
  ASSERT_EQ(expected.size(), found.size());
  ASSERT_GT(expected.size(), 20U);
  for (std::size_t i = 0; i < expected.size(); ++i) {
    EXPECT_EQ(expected[i].key, found[i].key);
    EXPECT_EQ(expected[i].end, found[i].end);
    EXPECT_EQ(expected[i].bearings, found[i].bearings);
  }
}

}  // namespace
}  // namespace fixwright::align
