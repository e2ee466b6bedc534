#include "server/track/duplicates.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/geodesy/local_frame.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;
using ::testing::ElementsAre;
using ::testing::IsEmpty;
using ::testing::SizeIs;

/// Two emitters of 100 m each, so far apart.
ChannelTracks two_apart(double metres) {
  auto first = still_emitter(kPlace, 100.0, 1);
  auto second = still_emitter(geodesy::displace(kPlace, {metres, 0.0}), 100.0, 2);
  first.shown.bearings = 10;
  second.shown.bearings = 90;
  first.shown.looks = second.shown.looks = 3;
  return {{first, second}};
}

TEST(Duplicates, ThoseAtOnePlaceBecomeTheBetterKnown) {
  auto tracks = two_apart(300.0);  // 2.1 of joint sigma 141 m; the limit is 2.45
  Changes changes;
  EXPECT_THAT(merge_duplicates(tracks, kNoon, {}, changes), ElementsAre(EmitterKey{5, 2}));
  ASSERT_THAT(tracks.emitters, SizeIs(1));
  EXPECT_EQ(tracks.emitters[0].shown.bearings, 100U);
  EXPECT_EQ(tracks.emitters[0].shown.looks, 6U);
  ASSERT_THAT(changes.events, SizeIs(1));
  EXPECT_EQ(changes.events[0].kind, EmitterEventKind::merged);
  EXPECT_EQ(changes.events[0].emitter, (EmitterKey{5, 1}));
  ASSERT_THAT(changes.ended, SizeIs(1));
  EXPECT_EQ(changes.ended[0].state, EmitterState::retired);
}

TEST(Duplicates, ThoseAtTwoPlacesStayTwo) {
  auto tracks = two_apart(360.0);
  Changes changes;
  EXPECT_THAT(merge_duplicates(tracks, kNoon, {}, changes), IsEmpty());
  EXPECT_THAT(tracks.emitters, SizeIs(2));
}

TEST(Duplicates, ThoseHeardSideBySideAreNeverOne) {
  auto tracks = two_apart(0.0);
  const auto stations = four_stations();
  const std::vector<Bearing> instant{bearing_to(stations.at(1), kPlace, 0.0, 1.0),
                                     bearing_to(stations.at(1), kPlace, 0.0, -1.0)};
  note_distinct(tracks, instant, {Claim::of(0, 0.0), Claim::of(1, 0.0)});
  Changes changes;
  EXPECT_THAT(merge_duplicates(tracks, kNoon, {}, changes), IsEmpty());
}

TEST(Duplicates, TwoInstantsAreNotSideBySide) {
  auto tracks = two_apart(0.0);
  const auto stations = four_stations();
  const std::vector<Bearing> instants{bearing_to(stations.at(1), kPlace, 0.0),
                                      bearing_to(stations.at(1), kPlace, 1.0)};
  note_distinct(tracks, instants, {Claim::of(0, 0.0), Claim::of(1, 0.0)});
  Changes changes;
  EXPECT_THAT(merge_duplicates(tracks, kNoon, {}, changes), SizeIs(1));
}

}  // namespace
}  // namespace fixwright::track
