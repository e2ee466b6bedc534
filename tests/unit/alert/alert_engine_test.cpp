#include "server/alert/alert_engine.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/geodesy/ellipse.hpp"

namespace fixwright::alert {
namespace {

using std::chrono::milliseconds;
using std::chrono::minutes;
using std::chrono::seconds;
using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::SizeIs;

TimePoint noon() { return *parse_rfc3339("2031-05-04T12:00:00Z"); }

std::string name_of(StationId id) { return id == 3 ? "QUILL-POINT" : "OTHER"; }

AlertEngine engine(const AlertRules& rules = {}) { return AlertEngine{rules, name_of}; }

Emitter confirmed(Duration after = {}) {
  Emitter e;
  e.key = {1017, 77};
  e.state = EmitterState::confirmed;
  e.fix.position = {41.2, -150.3};
  e.fix.covariance = {10'000.0, 0.0, 40'000.0};
  e.fix.ellipse = geodesy::error_ellipse(e.fix.covariance, 0.95);
  e.frequency_hz = 433'920'000.0;
  e.last_heard = noon() + after;
  return e;
}

RegisterMatch says(RegisterVerdict verdict) {
  return {{1017, 77}, verdict, 0.974, "OSM-12", 14'230.0};
}

EmitterEvent moved_at(TimePoint at) {
  return {{1017, 77}, at, EmitterEventKind::moved, "3.1 km to the north-east, 6.2 sigma"};
}

TEST(AlertEngine, UnregisteredEmitterIsOneAlertHoweverManyFixes) {
  auto alerts = engine();
  const auto match = says(RegisterVerdict::unregistered);
  const auto first = alerts.on_emitter(confirmed(), &match);
  ASSERT_THAT(first, SizeIs(1));
  EXPECT_EQ(first[0].id, "new_unregistered_emitter/1017/77");
  EXPECT_EQ(first[0].rule, "new_unregistered_emitter");
  EXPECT_EQ(first[0].severity, AlertSeverity::warning);
  EXPECT_EQ(first[0].raised_at, noon());
  EXPECT_EQ(first[0].emitter, (EmitterKey{1017, 77}));
  for (int i = 1; i < 200; ++i) {
    EXPECT_THAT(alerts.on_emitter(confirmed(seconds{i}), &match), IsEmpty());
  }
}

TEST(AlertEngine, TentativeUnmatchedAndUndecidedEmittersRaiseNothing) {
  auto alerts = engine();
  const auto match = says(RegisterVerdict::unregistered);
  Emitter tentative = confirmed();
  tentative.state = EmitterState::tentative;
  EXPECT_THAT(alerts.on_emitter(tentative, &match), IsEmpty());
  EXPECT_THAT(alerts.on_emitter(confirmed(), nullptr), IsEmpty());
  for (const auto v : {RegisterVerdict::registered, RegisterVerdict::undecided}) {
    const auto other = says(v);
    EXPECT_THAT(alerts.on_emitter(confirmed(), &other), IsEmpty());
  }
}

TEST(AlertEngine, ChangedVerdictRevisesTheSameAlert) {
  auto alerts = engine();
  const auto unknown = says(RegisterVerdict::unregistered);
  const auto known = says(RegisterVerdict::registered);
  const auto first = alerts.on_emitter(confirmed(), &unknown);
  const auto revised = alerts.on_emitter(confirmed(minutes{5}), &known);
  ASSERT_THAT(revised, SizeIs(1));
  EXPECT_EQ(revised[0].id, first[0].id);
  EXPECT_EQ(revised[0].raised_at, noon());
  EXPECT_EQ(revised[0].message, first[0].message + "; now: found in the register as OSM-12");
  EXPECT_THAT(alerts.on_emitter(confirmed(minutes{6}), &known), IsEmpty());
}

TEST(AlertEngine, DisagreementAfterNotFoundRevisesOneAndRaisesTheOther) {
  auto alerts = engine();
  const auto unknown = says(RegisterVerdict::unregistered);
  const auto elsewhere = says(RegisterVerdict::position_disagrees);
  alerts.on_emitter(confirmed(), &unknown);
  const auto both = alerts.on_emitter(confirmed(minutes{5}), &elsewhere);
  ASSERT_THAT(both, SizeIs(2));
  EXPECT_EQ(both[0].id, "new_unregistered_emitter/1017/77");
  EXPECT_EQ(both[1].id, "position_disagrees/1017/77");
  EXPECT_EQ(both[1].severity, AlertSeverity::notice);  // the lower alert
}

TEST(AlertEngine, WordsGiveEvidenceAndAccuseNobody) {
  auto alerts = engine();
  const auto unknown = says(RegisterVerdict::unregistered);
  const auto text = alerts.on_emitter(confirmed(), &unknown).at(0).message;
  EXPECT_EQ(text,
            "emitter 1017/77 on 433.9200 MHz at 41.20000 -150.30000 (95 % ellipse 490 x 245 m): "
            "not found in the register, probability 0.974; likeliest entry on its frequency "
            "OSM-12, 14.2 km away; at this accuracy 0.8 km can be told apart");
  const auto elsewhere = says(RegisterVerdict::position_disagrees);
  const auto other = engine().on_emitter(confirmed(), &elsewhere).at(0).message;
  EXPECT_THAT(other, HasSubstr("14.2 km from its entry OSM-12, probability 0.974; the entry may "
                               "be wrong, or this is another transmitter"));
  for (const auto& message : {text, other}) {
    EXPECT_THAT(message, AllOf(Not(HasSubstr("illegal")), Not(HasSubstr("pirate")),
                               Not(HasSubstr("unlicensed")), Not(HasSubstr("\n"))));
  }
}

TEST(AlertEngine, OffFrequencyAndOutOfValidityAreAlertsOfTheirOwn) {
  auto alerts = engine();
  auto beside = says(RegisterVerdict::off_frequency);
  beside.distance_m = 120.0;
  beside.frequency_offset_hz = -14'000.0;
  const auto first = alerts.on_emitter(confirmed(), &beside);
  ASSERT_THAT(first, SizeIs(1));
  EXPECT_EQ(first[0].id, "off_frequency/1017/77");
  EXPECT_THAT(first[0].message,
              HasSubstr("at the place of entry OSM-12, 0.1 km away, but -14.0 kHz "
                        "from its centre, probability 0.974; this may be another "
                        "transmitter of the site"));
  const auto ended = says(RegisterVerdict::out_of_validity);
  const auto both = alerts.on_emitter(confirmed(seconds{1}), &ended);
  ASSERT_THAT(both, SizeIs(2));
  EXPECT_EQ(both[0].id, "off_frequency/1017/77");
  EXPECT_THAT(both[0].message, HasSubstr("; now: as entry OSM-12, 14.2 km away, but that"));
  EXPECT_EQ(both[1].id, "out_of_validity/1017/77");
  EXPECT_THAT(both[1].message, HasSubstr("it may have been renewed"));
}

TEST(AlertEngine, MovesWithinTheHoldDownAreOneAlert) {
  auto alerts = engine();
  const auto first = alerts.on_event(moved_at(noon()));
  ASSERT_THAT(first, SizeIs(1));
  EXPECT_EQ(first[0].id, "emitter_moved/1017/77/2031-05-04T12:00:00.000Z");
  EXPECT_EQ(first[0].message, "emitter 1017/77 moved: 3.1 km to the north-east, 6.2 sigma");
  // Each within 10 minutes of the one before, the last 18 minutes after the first.
  const auto second = alerts.on_event(moved_at(noon() + minutes{9}));
  const auto third = alerts.on_event(moved_at(noon() + minutes{18}));
  EXPECT_EQ(second.at(0).id, first[0].id);
  EXPECT_EQ(third.at(0).id, first[0].id);
  EXPECT_THAT(third[0].message, HasSubstr("; 3 times since 2031-05-04T12:00:00.000Z"));
  const auto later = alerts.on_event(moved_at(noon() + minutes{29}));
  EXPECT_NE(later.at(0).id, first[0].id);
}

TEST(AlertEngine, OtherEventsRaiseNothingAndRetirementForgets) {
  auto alerts = engine();
  const auto match = says(RegisterVerdict::unregistered);
  alerts.on_emitter(confirmed(), &match);
  for (const auto kind : {EmitterEventKind::born, EmitterEventKind::confirmed,
                          EmitterEventKind::silent, EmitterEventKind::returned}) {
    EXPECT_THAT(alerts.on_event({{1017, 77}, noon(), kind, "x"}), IsEmpty());
  }
  const auto ended = alerts.on_event({{1017, 77}, noon(), EmitterEventKind::retired, "x"});
  ASSERT_THAT(ended, SizeIs(1));
  EXPECT_THAT(ended[0].message, HasSubstr("; now: the emitter is retired: x"));
  EXPECT_EQ(ended[0].ended_at, noon());
  EXPECT_THAT(alerts.on_emitter(confirmed(), &match), SizeIs(1));
}

TEST(AlertEngine, DisabledRulesRaiseNothing) {
  AlertRules rules;
  for (AlertRule& rule : rules.kinds) rule.enabled = false;
  rules.clock_bad_after = {};
  auto alerts = engine(rules);
  const auto unknown = says(RegisterVerdict::unregistered);
  const auto elsewhere = says(RegisterVerdict::position_disagrees);
  EXPECT_THAT(alerts.on_emitter(confirmed(), &unknown), IsEmpty());
  EXPECT_THAT(alerts.on_emitter(confirmed(), &elsewhere), IsEmpty());
  const auto ended = says(RegisterVerdict::out_of_validity);
  EXPECT_THAT(alerts.on_emitter(confirmed(), &ended), IsEmpty());
  EXPECT_THAT(alerts.on_event(moved_at(noon())), IsEmpty());
  EXPECT_THAT(alerts.on_heartbeat({3, noon(), noon(), seconds{9}, ClockState::unsynchronised}),
              IsEmpty());
  EXPECT_THAT(alerts.on_tick(noon() + minutes{60}), IsEmpty());
}

TEST(AlertEngine, RestoredAlertIsNotRaisedAgainButIsRevised) {
  auto before = engine();
  const auto unknown = says(RegisterVerdict::unregistered);
  const auto raised = before.on_emitter(confirmed(), &unknown).at(0);
  auto after = engine();
  after.restore(raised);
  EXPECT_THAT(after.on_emitter(confirmed(minutes{1}), &unknown), IsEmpty());
  const auto known = says(RegisterVerdict::registered);
  const auto revised = after.on_emitter(confirmed(minutes{2}), &known);
  ASSERT_THAT(revised, SizeIs(1));
  EXPECT_EQ(revised[0].id, raised.id);
  // And once more after the revision: nothing is open, nothing is said.
  auto third = engine();
  third.restore(revised[0]);
  EXPECT_THAT(third.on_emitter(confirmed(minutes{3}), &known), IsEmpty());
}

}  // namespace
}  // namespace fixwright::alert
