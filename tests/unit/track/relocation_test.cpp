#include "server/track/relocation.hpp"

#include <gtest/gtest.h>

#include "server/geodesy/local_frame.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;

constexpr double kHour_s = 3600.0;

/// The old one spoke every half an hour from noon for ten hours, the new one since the eleventh.
class Relocation : public ::testing::Test {
 protected:
  Relocation() {
    EmitterRecord& old = tracks_.emitters[0];
    old.surely = {kNoon, kNoon + from_seconds(10.0 * kHour_s), from_seconds(2.0 * kHour_s), 20};
    tracks_.emitters[1].shown.first_heard = kNoon + from_seconds(11.0 * kHour_s);
  }

  std::size_t retired_after(double hours) {
    Changes changes;
    retire_moved(tracks_, 1, kNoon + from_seconds((10.0 + hours) * kHour_s), TrackRules{}, changes);
    EXPECT_EQ(changes.events.size(), changes.ended.size());
    for (const EmitterEvent& e : changes.events) EXPECT_EQ(e.kind, EmitterEventKind::moved);
    return changes.ended.size();
  }

  ChannelTracks tracks_{{still_emitter(kPlace, 50.0, 1),
                         still_emitter(geodesy::displace(kPlace, {9000.0, 0.0}), 50.0, 2)}};
};

TEST_F(Relocation, TheOldPlaceIsGivenUpAfterADay) {
  EXPECT_EQ(retired_after(23.0), 0U);
  EXPECT_EQ(retired_after(25.0), 1U);
  EXPECT_EQ(tracks_.emitters[0].shown.state, EmitterState::retired);
}

TEST_F(Relocation, NotOfOneThatHasPausedSoLongBefore) {
  tracks_.emitters[0].surely.longest_pause = from_seconds(20.0 * kHour_s);
  EXPECT_EQ(retired_after(25.0), 0U);
  EXPECT_EQ(retired_after(41.0), 1U);
}

TEST_F(Relocation, NotOfOneThatWasHeardAfterTheOtherAppeared) {
  tracks_.emitters[1].shown.first_heard = kNoon + from_seconds(9.0 * kHour_s);
  EXPECT_EQ(retired_after(100.0), 0U);
}

TEST_F(Relocation, NotOfOneHardlyHeardNorForOneNotBelieved) {
  tracks_.emitters[0].surely.count = 9;
  EXPECT_EQ(retired_after(100.0), 0U);
  tracks_.emitters[0].surely.count = 20;
  tracks_.emitters[1].shown.state = EmitterState::tentative;
  EXPECT_EQ(retired_after(100.0), 0U);
}

}  // namespace
}  // namespace fixwright::track
