/// What people watch: emitters, areas and hours, transmitters that ought to be heard; and mutes.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/alert/alert_engine.hpp"
#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/geodesic.hpp"

namespace fixwright::alert {
namespace {

using std::chrono::hours;
using std::chrono::minutes;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

constexpr EmitterKey kKey{1017, 77};
constexpr GeoPoint kPlace{41.2, -150.3};

/// A Sunday.
TimePoint noon() { return *parse_rfc3339("2031-05-04T12:00:00Z"); }

AlertEngine engine(const AlertRules& rules = {}, bool watched = false) {
  return AlertEngine{rules, [](StationId) { return std::string{"QUILL-POINT"}; },
                     [watched](EmitterKey) { return watched; }};
}

Emitter heard(TimePoint at, GeoPoint place = kPlace) {
  Emitter e;
  e.key = kKey;
  e.state = EmitterState::confirmed;
  e.fix.position = place;
  e.fix.covariance = {10'000.0, 0.0, 40'000.0};
  e.fix.ellipse = geodesy::error_ellipse(e.fix.covariance, 0.95);
  e.frequency_hz = 433'920'000.0;
  e.last_heard = at;
  e.stations = {1, 3, 4};
  return e;
}

AlertSettings with_area() {
  WatchedArea harbour;
  harbour.name = "harbour";
  harbour.centre = kPlace;
  harbour.radius_m = 2000.0;
  AlertSettings settings;
  settings.areas = {harbour};
  return settings;
}

TEST(Watched, ReturnOfAWatchedEmitterIsTold) {
  const EmitterEvent back{kKey, noon(), EmitterEventKind::returned, "heard again"};
  const Emitter e = heard(noon());
  const auto raised = engine({}, true).on_event(back, &e);
  ASSERT_THAT(raised, SizeIs(1));
  EXPECT_EQ(raised[0].rule, "watched_returned");
  EXPECT_EQ(raised[0].ended_at, noon());  // a moment
  EXPECT_EQ(raised[0].evidence.position, kPlace);
  EXPECT_EQ(raised[0].evidence.stations, (std::vector<StationId>{1, 3, 4}));
  EXPECT_THAT(engine({}, false).on_event(back, &e), IsEmpty());
}

TEST(Watched, ActivityInAnAreaIsOneAlertUntilItEnds) {
  auto alerts = engine();
  alerts.apply(with_area());
  const auto raised = alerts.on_emitter(heard(noon()), nullptr);
  ASSERT_THAT(raised, SizeIs(1));
  EXPECT_EQ(raised[0].id, "watched_activity/harbour/1017/77/2031-05-04T12:00:00.000Z");
  EXPECT_THAT(raised[0].message, HasSubstr("heard in the watched area harbour, 0.0 km from"));
  EXPECT_EQ(raised[0].evidence.region->semi_major_m, heard(noon()).fix.ellipse.semi_major_m);
  EXPECT_THAT(alerts.on_emitter(heard(noon() + minutes{1}), nullptr), IsEmpty());
  Emitter gone = heard(noon() + minutes{2});
  gone.state = EmitterState::silent;
  EXPECT_THAT(alerts.on_emitter(gone, nullptr), SizeIs(1));
}

TEST(Watched, OutsideTheAreaTheBandOrTheHoursNothingIsTold) {
  auto settings = with_area();
  const auto raised = [&](const Emitter& e) {
    auto alerts = engine();
    alerts.apply(settings);
    return alerts.on_emitter(e, nullptr).size();
  };
  EXPECT_EQ(raised(heard(noon(), geodesy::direct(kPlace, 90.0, 1990.0))), 1U);
  EXPECT_EQ(raised(heard(noon(), geodesy::direct(kPlace, 90.0, 2010.0))), 0U);
  settings.areas[0].high_hz = 433e6;
  EXPECT_EQ(raised(heard(noon())), 0U);
  settings.areas[0].high_hz = 434e6;
  settings.areas[0].hours = {0x7F, 22 * 60, 6 * 60};
  EXPECT_EQ(raised(heard(noon())), 0U);
  EXPECT_EQ(raised(heard(noon() + hours{11})), 1U);
}

TEST(Watched, AWindowThatPassesMidnightBelongsToTheDayItBeginsOn) {
  const WeeklyWindow saturday_night{1U << 5, 22 * 60, 6 * 60};
  EXPECT_TRUE(saturday_night.holds(*parse_rfc3339("2031-05-03T22:00:00Z")));
  EXPECT_TRUE(saturday_night.holds(*parse_rfc3339("2031-05-04T05:59:59Z")));  // Sunday morning
  EXPECT_FALSE(saturday_night.holds(*parse_rfc3339("2031-05-04T06:00:00Z")));
  EXPECT_FALSE(saturday_night.holds(*parse_rfc3339("2031-05-04T23:00:00Z")));
  EXPECT_FALSE(saturday_night.holds(*parse_rfc3339("2031-05-03T21:59:59Z")));
  const WeeklyWindow sunday{1U << 6, 0, 0};  // the whole day
  EXPECT_TRUE(sunday.holds(*parse_rfc3339("2031-05-04T00:00:00Z")));
  EXPECT_TRUE(sunday.holds(*parse_rfc3339("2031-05-04T23:59:59Z")));
  EXPECT_FALSE(sunday.holds(*parse_rfc3339("2031-05-05T00:00:00Z")));
}

TEST(Watched, AnAreaThatIsTakenAwayTellsAnewWhenItIsBack) {
  auto alerts = engine();
  alerts.apply(with_area());
  EXPECT_THAT(alerts.on_emitter(heard(noon()), nullptr), SizeIs(1));
  alerts.apply(with_area());  // unchanged: the event goes on
  EXPECT_THAT(alerts.on_emitter(heard(noon() + minutes{1}), nullptr), IsEmpty());
  alerts.apply({});
  EXPECT_THAT(alerts.on_emitter(heard(noon() + minutes{2}), nullptr), IsEmpty());
  alerts.apply(with_area());
  EXPECT_THAT(alerts.on_emitter(heard(noon() + minutes{3}), nullptr), SizeIs(1));
}

TEST(Watched, AReferenceThatIsNotHeardIsMissingUntilItIs) {
  AlertRules rules;
  rules.references = {{"OSM-1", hours{1}}};
  auto alerts = engine(rules);
  alerts.expect_references(noon());
  const RegisterMatch it{kKey, RegisterVerdict::registered, 0.99, "OSM-1", 20.0};
  EXPECT_THAT(alerts.on_emitter(heard(noon() + minutes{30}), &it), IsEmpty());
  EXPECT_THAT(alerts.on_tick(noon() + minutes{90}), IsEmpty());
  const auto raised = alerts.on_tick(noon() + minutes{91});
  ASSERT_THAT(raised, SizeIs(1));
  EXPECT_EQ(raised[0].id, "reference_missing/OSM-1/2031-05-04T13:30:00.000Z");
  EXPECT_THAT(raised[0].message, HasSubstr("the stations may be deaf, or it is off the air"));
  EXPECT_THAT(alerts.on_tick(noon() + minutes{92}), IsEmpty());
  EXPECT_THAT(alerts.on_emitter(heard(noon() + minutes{95}), &it), SizeIs(1));
}

TEST(Watched, LittleRoomIsToldOnceAndEndsWithAMargin) {
  auto alerts = engine();
  const auto state = [](int minute, std::uint64_t free) {
    return HostState{noon() + minutes{minute}, {{"/", free, 1000}}, std::nullopt};
  };
  EXPECT_THAT(alerts.on_host(state(0, 101)), IsEmpty());
  const auto raised = alerts.on_host(state(1, 99));
  ASSERT_THAT(raised, SizeIs(1));
  EXPECT_EQ(raised[0].id, "disk_low///2031-05-04T12:01:00.000Z");
  EXPECT_EQ(raised[0].severity, AlertSeverity::urgent);
  EXPECT_THAT(alerts.on_host(state(2, 110)), IsEmpty());  // not yet 12.5 %
  EXPECT_THAT(alerts.on_host(state(3, 99)), IsEmpty());
  EXPECT_THAT(alerts.on_host(state(4, 126)), SizeIs(1));
}

TEST(Watched, ADatabaseNearItsConnectionsOrItsRoomIsLow) {
  AlertRules rules;
  rules.database_bytes = 1e9;
  auto alerts = engine(rules);
  const auto state = [](std::uint64_t bytes, int connections) {
    return HostState{noon(), {}, DatabaseState{bytes, connections, 100}};
  };
  EXPECT_THAT(alerts.on_host(state(899'000'000, 90)), IsEmpty());
  const auto raised = alerts.on_host(state(901'000'000, 91));
  ASSERT_THAT(raised, SizeIs(2));
  EXPECT_THAT(raised[0].message, HasSubstr("91 of 100 connections in use"));
  EXPECT_THAT(raised[1].message, HasSubstr("takes 0.9 of 1.0 GB"));
}

TEST(Watched, AMutedAlertIsRaisedAllTheSame) {
  auto alerts = engine();
  auto settings = with_area();
  settings.mutes = {
      {1, AlertKind::watched_activity, kKey, std::nullopt, noon() + hours{1}, "ana", "the ferry"}};
  alerts.apply(settings);
  const auto raised = alerts.on_emitter(heard(noon()), nullptr);
  ASSERT_THAT(raised, SizeIs(1));
  EXPECT_TRUE(raised[0].muted);
  auto later = engine();
  later.apply(settings);
  EXPECT_FALSE(later.on_emitter(heard(noon() + hours{1}), nullptr).at(0).muted);
}

TEST(Watched, WhatPeopleSetGoesOverTheConfiguredRule) {
  auto alerts = engine();
  auto settings = with_area();
  settings.rules[AlertKind::watched_activity] = {true, AlertSeverity::urgent, minutes{1}};
  alerts.apply(settings);
  EXPECT_EQ(alerts.on_emitter(heard(noon()), nullptr).at(0).severity, AlertSeverity::urgent);
  settings.rules[AlertKind::watched_activity].enabled = false;
  auto off = engine();
  off.apply(settings);
  EXPECT_THAT(off.on_emitter(heard(noon()), nullptr), IsEmpty());
}

}  // namespace
}  // namespace fixwright::alert
