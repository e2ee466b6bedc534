#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/alert/alert_engine.hpp"

namespace fixwright::alert {
namespace {

using std::chrono::milliseconds;
using std::chrono::minutes;
using std::chrono::seconds;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

TimePoint noon() { return *parse_rfc3339("2031-05-04T12:00:00Z"); }

AlertEngine engine(const AlertRules& rules = {}) {
  return AlertEngine{rules, [](StationId) { return std::string{"QUILL-POINT"}; }};
}

Heartbeat beat(TimePoint at, Duration clock_error = milliseconds{1},
               ClockState state = ClockState::synchronised) {
  return {3, at, at, clock_error, state};
}

TEST(StationAlerts, SilenceIsOneAlertUntilTheStationIsHeardAgain) {
  auto alerts = engine();
  EXPECT_THAT(alerts.on_heartbeat(beat(noon())), IsEmpty());
  EXPECT_THAT(alerts.on_tick(noon() + seconds{30}), IsEmpty());  // the limit is included
  const auto raised = alerts.on_tick(noon() + seconds{31});
  ASSERT_THAT(raised, SizeIs(1));
  EXPECT_EQ(raised[0].id, "station_silent/3/2031-05-04T12:00:30.000Z");
  EXPECT_EQ(raised[0].station, 3);
  EXPECT_EQ(raised[0].raised_at, noon() + seconds{30});
  EXPECT_EQ(raised[0].message,
            "station QUILL-POINT: no heartbeat since 2031-05-04T12:00:00.000Z "
            "(alert.silent_after_s = 30); fixes that need it are worse or missing");
  for (int i = 32; i < 300; ++i) EXPECT_THAT(alerts.on_tick(noon() + seconds{i}), IsEmpty());
  const auto ended = alerts.on_heartbeat(beat(noon() + seconds{300}));
  ASSERT_THAT(ended, SizeIs(1));
  EXPECT_EQ(ended[0].id, raised[0].id);
  EXPECT_THAT(ended[0].message, HasSubstr("; now: heard again at 2031-05-04T12:05:00.000Z"));
}

TEST(StationAlerts, SameAlertWhateverTheTicks) {
  auto often = engine();
  auto seldom = engine();
  often.on_heartbeat(beat(noon()));
  seldom.on_heartbeat(beat(noon()));
  std::vector<Alert> from_often;
  for (int i = 1; i <= 90; ++i) {
    for (auto& a : often.on_tick(noon() + seconds{i})) from_often.push_back(std::move(a));
  }
  const auto from_seldom = seldom.on_tick(noon() + seconds{90});
  ASSERT_THAT(from_often, SizeIs(1));
  ASSERT_THAT(from_seldom, SizeIs(1));
  EXPECT_EQ(from_often[0].id, from_seldom[0].id);
  EXPECT_EQ(from_often[0].raised_at, from_seldom[0].raised_at);
}

TEST(StationAlerts, FlappingLinkIsOneAlertAndALaterSilenceAnother) {
  auto alerts = engine();
  alerts.on_heartbeat(beat(noon()));
  const auto first = alerts.on_tick(noon() + minutes{1});
  alerts.on_heartbeat(beat(noon() + minutes{2}));
  const auto again = alerts.on_tick(noon() + minutes{4});
  ASSERT_THAT(again, SizeIs(1));
  EXPECT_EQ(again[0].id, first.at(0).id);
  EXPECT_THAT(again[0].message, HasSubstr("no heartbeat since 2031-05-04T12:02:00.000Z"));
  EXPECT_THAT(again[0].message, HasSubstr("2 times since"));
  for (int i = 5; i <= 60; ++i) alerts.on_heartbeat(beat(noon() + minutes{i}));
  const auto later = alerts.on_tick(noon() + minutes{62});
  ASSERT_THAT(later, SizeIs(1));
  EXPECT_NE(later[0].id, first[0].id);
}

TEST(StationAlerts, ConfiguredStationNeverHeardIsSilentToo) {
  auto alerts = engine();
  alerts.expect(3, noon());
  EXPECT_THAT(alerts.on_tick(noon() + seconds{29}), IsEmpty());
  EXPECT_THAT(alerts.on_tick(noon() + seconds{31}), SizeIs(1));
  auto heard = engine();
  heard.on_heartbeat(beat(noon()));
  heard.expect(3, noon() - minutes{5});  // too late to matter
  EXPECT_THAT(heard.on_tick(noon() + seconds{1}), IsEmpty());
}

TEST(StationAlerts, OneBadHeartbeatIsNoEventButHalfAMinuteIs) {
  auto alerts = engine();
  EXPECT_THAT(alerts.on_heartbeat(beat(noon(), milliseconds{800})), IsEmpty());
  EXPECT_THAT(alerts.on_heartbeat(beat(noon() + seconds{1})), IsEmpty());
  std::vector<Alert> raised;
  for (int i = 2; i <= 60; ++i) {
    for (auto& a : alerts.on_heartbeat(beat(noon() + seconds{i}, milliseconds{800}))) {
      raised.push_back(std::move(a));
    }
  }
  ASSERT_THAT(raised, SizeIs(1));
  EXPECT_EQ(raised[0].id, "clock_bad/3/2031-05-04T12:00:32.000Z");
  EXPECT_EQ(raised[0].raised_at, noon() + seconds{32});
  EXPECT_EQ(raised[0].message,
            "station QUILL-POINT: its clock may be 0.800 s off (alert.max_clock_error_s = 0.5)");
  const auto good = alerts.on_heartbeat(beat(noon() + seconds{61}));
  ASSERT_THAT(good, SizeIs(1));
  EXPECT_EQ(good[0].id, raised[0].id);
}

TEST(StationAlerts, UnsynchronisedIsBadAndHoldoverWithinItsBoundIsNot) {
  AlertRules rules;
  rules.clock_bad_after = {};
  auto alerts = engine(rules);
  EXPECT_THAT(alerts.on_heartbeat(beat(noon(), milliseconds{500}, ClockState::holdover)),
              IsEmpty());
  const auto raised =
      alerts.on_heartbeat(beat(noon(), milliseconds{1}, ClockState::unsynchronised));
  ASSERT_THAT(raised, SizeIs(1));
  EXPECT_THAT(raised[0].message, HasSubstr("clock is unsynchronised"));
}

TEST(StationAlerts, SilenceGoesOnOverARestart) {
  auto before = engine();
  before.on_heartbeat(beat(noon()));
  const auto raised = before.on_tick(noon() + minutes{1});
  auto after = engine();
  after.restore(raised.at(0));
  after.expect(3, noon() + minutes{2});
  EXPECT_THAT(after.on_tick(noon() + minutes{5}), IsEmpty());
  const auto ended = after.on_heartbeat(beat(noon() + minutes{6}));
  ASSERT_THAT(ended, SizeIs(1));
  EXPECT_EQ(ended[0].id, raised[0].id);
}

TEST(StationAlerts, ManyThatWaitForLongAreAnOverload) {
  auto alerts = engine();
  const auto waiting = [](TimePoint at, std::uint64_t count) {
    Heartbeat h = beat(at);
    h.waiting = count;
    return h;
  };
  EXPECT_THAT(alerts.on_heartbeat(waiting(noon(), 5000)), IsEmpty());
  EXPECT_THAT(alerts.on_heartbeat(waiting(noon() + minutes{9}, 5000)), IsEmpty());
  const auto raised = alerts.on_heartbeat(waiting(noon() + minutes{10}, 5000));
  ASSERT_THAT(raised, SizeIs(1));
  EXPECT_EQ(raised[0].rule, "station_overloaded");
  EXPECT_THAT(raised[0].message, HasSubstr("5000 bearings wait on its disk"));
  EXPECT_EQ(raised[0].evidence.would_change, "at most 1000 bearings waiting, and none dropped");
  EXPECT_THAT(alerts.on_heartbeat(waiting(noon() + minutes{11}, 5000)), IsEmpty());
  EXPECT_THAT(alerts.on_heartbeat(waiting(noon() + minutes{12}, 900)), SizeIs(1));
}

TEST(StationAlerts, ADroppedBearingIsToldAtOnce) {
  auto alerts = engine();
  Heartbeat full = beat(noon());
  full.dropped = 7;
  const auto raised = alerts.on_heartbeat(full);
  ASSERT_THAT(raised, SizeIs(1));
  EXPECT_THAT(raised[0].message, HasSubstr("its disk is full, 7 bearings were dropped"));
  full.received_at += seconds{1};
  EXPECT_THAT(alerts.on_heartbeat(full), SizeIs(1)) << "none more was dropped: it ends";
}

TEST(StationAlerts, DriftIsOneAlertUntilTheBearingsAgreeAgain) {
  auto alerts = engine();
  CalibrationDrift drift{3, noon(), true, 2.1, 0.3, 4, "CUSUM 6.2 over 5"};
  const auto raised = alerts.on_drift(drift);
  ASSERT_THAT(raised, SizeIs(1));
  EXPECT_EQ(raised[0].message,
            "station QUILL-POINT: its bearings are +2.10 deg off, known to 0.30, over 4 emitters: "
            "CUSUM 6.2 over 5");
  EXPECT_EQ(raised[0].evidence.stations, std::vector<StationId>{3});
  EXPECT_THAT(alerts.on_drift(drift), IsEmpty());
  drift.drifted = false;
  drift.at += minutes{60};
  const auto ended = alerts.on_drift(drift);
  ASSERT_THAT(ended, SizeIs(1));
  EXPECT_EQ(ended[0].ended_at, drift.at);
}

}  // namespace
}  // namespace fixwright::alert
