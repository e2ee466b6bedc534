/// What goes wrong on the way: each is named, once, and flags what it touches.

#include <gtest/gtest.h>

#include "tests/unit/station_agent/detect/air.hpp"

namespace fixwright::agent::detect {
namespace {

using air::Player;

std::uint32_t faulty_in_all(const std::vector<ChannelLook>& looks) {
  std::uint32_t faulty = ~0U;
  for (const ChannelLook& look : looks) {
    faulty &= look.faulty_elements;
  }
  return looks.empty() ? 0U : faulty;
}

TEST(Faults, NothingIsToldOfSoundElements) {
  Player p(air::config({20e3}));
  p.signals = {air::carrier(-40.0, 20e3, 0.1, 1.0)};
  p.play(1.5);
  EXPECT_TRUE(p.notices.empty());
  EXPECT_EQ(p.detector.faulty_elements(), 0U);
}

TEST(Faults, LostFramesEndWhatTheyTouch) {
  Player p(air::config({20e3, -20e3}));
  p.signals = {air::carrier(-40.0, 20e3, 0.1, 0.5), air::carrier(-40.0, -20e3, 0.05, 0.15)};
  p.play(0.25);
  p.lose(4800);  // 20 ms
  p.play(0.4);
  ASSERT_EQ(p.notices_of(NoticeKind::gap).size(), 1U);
  const Notice gap = p.notices_of(NoticeKind::gap)[0];
  EXPECT_EQ(gap.value, 4800.0);
  EXPECT_NEAR(Player::since(gap.at), 0.25, 1e-6);
  EXPECT_NE(describe(gap).find("4800 frames lost"), std::string::npos);

  ASSERT_EQ(p.looks.size(), 4U);  // before, cut; the other channel's; after, cut; and its rest
  const ChannelLook& before = p.looks[1];
  const ChannelLook& after = p.looks[2];
  EXPECT_FALSE(p.looks[0].cut);  // it ended before
  EXPECT_TRUE(before.cut && before.closed);
  EXPECT_LE(Player::since(before.start + before.integration), 0.25);
  EXPECT_TRUE(after.cut && after.opened);
  EXPECT_GE(Player::since(after.start), 0.27);
  EXPECT_NEAR(after.level_dbfs, -40.0, 0.5);  // no window reached across the gap
  EXPECT_TRUE(p.looks[3].closed && !p.looks[3].cut);
}

TEST(Faults, EndOfTheStreamCutsWhatIsOpen) {
  Player p(air::config({20e3}));
  p.signals = {air::carrier(-40.0, 20e3, 0.1)};
  p.play(0.2);
  EXPECT_TRUE(p.looks.empty());
  p.finish();
  ASSERT_EQ(p.looks.size(), 1U);
  EXPECT_TRUE(p.looks[0].cut && p.looks[0].closed);
  EXPECT_NEAR(seconds(p.looks[0].integration), 0.1, 2.0 * seconds(p.detector.step()));
}

TEST(Faults, SignalThatWasThereFromTheFirstSampleIsCut) {
  Player p(air::config({20e3}));
  p.signals = {air::carrier(-40.0, 20e3, 0.0, 0.15)};
  p.play(0.3);
  ASSERT_EQ(p.looks.size(), 1U);
  EXPECT_TRUE(p.looks[0].cut && p.looks[0].opened && p.looks[0].closed);
}

TEST(Faults, JumpOfTheSamplesTimeIsNamedAndNoLookReachesAcross) {
  for (const double jump_s : {0.5, -0.05}) {
    Player p(air::config({20e3}));
    p.signals = {air::carrier(-40.0, 20e3, 0.1)};
    p.play(0.2);
    p.clock_error = from_seconds(jump_s);
    p.play(0.2);
    p.finish();
    ASSERT_EQ(p.notices_of(NoticeKind::time_step).size(), 1U);
    EXPECT_NEAR(p.notices_of(NoticeKind::time_step)[0].value, jump_s, 1e-6);
    ASSERT_EQ(p.looks.size(), 2U);
    EXPECT_TRUE(p.looks[0].cut && p.looks[1].cut);
    EXPECT_LT(seconds(p.looks[0].integration + p.looks[1].integration), 0.301);
  }
}

TEST(Faults, OverloadIsNamedAndFlagsOnlyWhatItTouches) {
  Player p(air::config({20e3, -20e3}));
  // +2 dBFS: clipped much of the time; the other comes when it is over.
  p.signals = {air::carrier(2.0, 20e3, 0.1, 0.2), air::carrier(-40.0, -20e3, 0.3, 0.4)};
  p.play(2.0);
  const auto told = p.notices_of(NoticeKind::overload);
  ASSERT_EQ(told.size(), 3U);  // once an element
  EXPECT_GT(told[0].value, 0.1);
  EXPECT_EQ(p.notices_of(NoticeKind::overload, false).size(), 3U);
  bool seen = false;
  for (const ChannelLook& look : p.looks) {
    const bool late = Player::since(look.start) > 0.25;
    EXPECT_EQ(look.overload, !late);
    seen = seen || (late && look.channel == 1);
  }
  EXPECT_TRUE(seen);
}

TEST(Faults, StuckConverterIsNamedWithinAWindowAndFlagsTheLooks) {
  Player p(air::config({20e3}));
  p.signals = {air::carrier(-40.0, 20e3, 0.3, 0.45)};
  p.receiver = [](std::complex<double> x, double t, std::size_t e) {
    return e == 1 && t > 0.25 && t < 0.5 ? std::complex<double>(0.25, -0.5) : x;
  };
  p.play(2.0);
  const auto told = p.notices_of(NoticeKind::stuck);
  ASSERT_EQ(told.size(), 1U);
  EXPECT_EQ(told[0].element, 1U);
  EXPECT_NEAR(Player::since(told[0].at), 0.25, 0.005);
  EXPECT_TRUE(p.notices_of(NoticeKind::dead).empty());  // one fault, one word
  EXPECT_EQ(p.notices_of(NoticeKind::stuck, false).size(), 1U);
  EXPECT_EQ(faulty_in_all(p.looks), 2U);
  ASSERT_EQ(p.looks.size(), 1U);
  EXPECT_NEAR(p.looks[0].level_dbfs, -40.0, 0.5);  // of the sound ones
  EXPECT_EQ(p.detector.faulty_elements(), 0U);
}

TEST(Faults, DeadElementIsNamedWhetherItGivesZerosOrAWhisper) {
  for (const double factor : {0.0, 0.05}) {
    Player p(air::config({20e3}));
    p.signals = {air::carrier(-40.0, 20e3, 0.5, 0.65)};
    p.receiver = [=](std::complex<double> x, double, std::size_t e) {
      return e == 2 ? factor * x : x;
    };
    p.play(0.8);
    const auto told = p.notices_of(NoticeKind::dead);
    ASSERT_EQ(told.size(), 1U) << factor;
    EXPECT_EQ(told[0].element, 2U);
    EXPECT_NEAR(told[0].value, factor > 0.0 ? 26.0 : 200.0, 1.0);
    EXPECT_EQ(faulty_in_all(p.looks), 4U);
    EXPECT_NE(describe(told[0]).find("element 3: dead"), std::string::npos);
  }
}

TEST(Faults, ElementThatHearsOnlyItsOwnNoiseIsDeaf) {
  Player p(air::config({20e3}));
  for (int i = 0; i < 5; ++i) {
    const auto whole = air::carrier(-40.0, 20e3, 0.1 + 0.1 * i, 0.15 + 0.1 * i);
    p.signals.push_back(
        [whole](double t, std::size_t e) { return e == 0 ? 0.01 * whole(t, e) : whole(t, e); });
  }
  p.play(0.7);
  const auto told = p.notices_of(NoticeKind::deaf);
  ASSERT_EQ(told.size(), 1U);
  EXPECT_EQ(told[0].element, 0U);
  EXPECT_GT(told[0].value, 20.0);
  ASSERT_EQ(p.looks.size(), 5U);
  EXPECT_EQ(p.looks[1].faulty_elements, 0U);  // two weak receptions may be a reflection's doing
  EXPECT_EQ(p.looks[2].faulty_elements, 1U);
  EXPECT_EQ(p.looks[4].faulty_elements, 1U);
}

TEST(Faults, EveryElementDeadStopsNothing) {
  Player p(air::config({20e3}));
  p.receiver = [](std::complex<double>, double, std::size_t) { return std::complex<double>(); };
  p.play(0.5);
  p.finish();
  EXPECT_EQ(p.notices_of(NoticeKind::dead).size(), 3U);
  EXPECT_TRUE(p.looks.empty());
}

TEST(Faults, EachHasAWordAndALine) {
  for (const auto kind : {NoticeKind::stuck, NoticeKind::dead, NoticeKind::deaf,
                          NoticeKind::overload, NoticeKind::gap, NoticeKind::time_step}) {
    const std::string line = describe({kind, true, air::kStart, 3, 0.5});
    EXPECT_NE(line.find(word(kind)), std::string::npos) << line;
    EXPECT_EQ(line.find('\n'), std::string::npos);
  }
  EXPECT_EQ(describe({NoticeKind::dead, false, air::kStart, 3, 0.0}),
            "element 4: no longer dead at 2019-12-20T00:00:00.000Z");
}

}  // namespace
}  // namespace fixwright::agent::detect
