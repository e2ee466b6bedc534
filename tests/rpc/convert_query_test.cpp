#include "server/rpc/convert_query.hpp"

#include <gmock/gmock.h>

#include <cctype>
#include <string>

#include "server/rpc/convert_enum.hpp"
#include "tests/rpc/views.hpp"

namespace fixwright::rpc {
namespace {

using testing::ElementsAre;

StationNames names() {
  return StationNames({station_view(1, "LANTERN-HEAD"), station_view(2, "MOSS-RIDGE")});
}

TEST(ConvertEmitter, EveryFieldFindsItsPlace) {
  EmitterView view = emitter_view(5, 1'900'000'000);
  view.emitter.revision = 3;
  view.emitter.motion = Motion::moving;
  view.emitter.velocity = {4.5, 271.0, 0.5};
  view.match = RegisterMatch{
      view.emitter.key,       RegisterVerdict::position_disagrees, 0.9, "OSM-12", 4000.0, -250.0,
      "4.0 km from its place"};
  view.name = "ferry";
  const query_v1::Emitter e = to_proto(view, names());
  EXPECT_EQ(e.channel_id(), 12);
  EXPECT_EQ(e.emitter_id(), 5);
  EXPECT_EQ(e.revision(), 3U);
  EXPECT_EQ(e.state(), query_v1::EMITTER_STATE_CONFIRMED);
  EXPECT_EQ(e.motion(), query_v1::MOTION_MOVING);
  EXPECT_EQ(e.position().latitude_deg(), 41.2);
  EXPECT_EQ(e.position().longitude_deg(), -150.3);
  EXPECT_EQ(e.covariance().ee_m2(), 400.0);
  EXPECT_EQ(e.covariance().en_m2(), 10.0);
  EXPECT_EQ(e.covariance().nn_m2(), 900.0);
  EXPECT_EQ(e.ellipse().semi_major_m(), 73.5);
  EXPECT_EQ(e.ellipse().semi_minor_m(), 48.9);
  EXPECT_EQ(e.ellipse().orientation_deg(), 3.5);
  EXPECT_EQ(e.ellipse().probability(), 0.95);
  EXPECT_EQ(e.frequency_hz(), 156.8e6);
  EXPECT_EQ(e.last_heard().seconds(), 1'900'000'000);
  EXPECT_EQ(e.first_heard().seconds(), 1'899'999'940);
  EXPECT_EQ(e.bearings(), 30U);
  EXPECT_THAT(e.stations(), ElementsAre("LANTERN-HEAD", "MOSS-RIDGE"));
  EXPECT_EQ(e.speed_m_per_s(), 4.5);
  EXPECT_EQ(e.course_deg(), 271.0);
  EXPECT_EQ(e.register_verdict(), query_v1::REGISTER_VERDICT_POSITION_DISAGREES);
  EXPECT_EQ(e.licence_id(), "OSM-12");
  EXPECT_EQ(e.licence_distance_m(), 4000.0);
  EXPECT_EQ(e.licence_frequency_offset_hz(), -250.0);
  EXPECT_EQ(e.register_evidence(), "4.0 km from its place");
  EXPECT_EQ(e.grade(), "checked");
  EXPECT_EQ(e.name(), "ferry");
}

TEST(ConvertEmitter, WithoutAnAcceptedFixHasNoPlaceAtAll) {
  EmitterView view = emitter_view(5, 1'900'000'000);
  view.emitter.fix.refusal = Refusal::one_station;
  const query_v1::Emitter e = to_proto(view, names());
  EXPECT_FALSE(e.has_position() || e.has_covariance() || e.has_ellipse());
  EXPECT_FALSE(e.has_speed_m_per_s() || e.has_course_deg() || e.has_licence_id() || e.has_name());
  EXPECT_EQ(e.register_verdict(), query_v1::REGISTER_VERDICT_UNSPECIFIED) << "not compared yet";
}

TEST(ConvertFix, ARefusedFixSaysWhyInTheWordOfTheLog) {
  FixView view;
  view.fix.key = {{12, at_second(1'900'000'000)}, 1};
  view.fix.state = ResultState::withdrawn;
  view.fix.solution.refusal = Refusal::poor_geometry;
  view.bearings = {{{{9, 77, 3}, 178.5, false}, 10.0, 2.0}};
  const query_v1::Fix f = to_proto(view, names());
  EXPECT_EQ(f.refusal(), "poor_geometry");
  EXPECT_FALSE(f.has_position());
  EXPECT_FALSE(f.has_emitter_id());
  EXPECT_EQ(f.ordinal(), 1U);
  EXPECT_EQ(f.state(), query_v1::FIX_STATE_WITHDRAWN);
  ASSERT_EQ(f.bearings_size(), 1);
  EXPECT_EQ(f.bearings(0).station(), "station 9") << "a station whose name is not known";
  EXPECT_EQ(f.bearings(0).residual_deg(), 178.5);
  EXPECT_FALSE(f.bearings(0).used());
}

TEST(ConvertFix, AnAcceptedFixHasPlaceGradeAndNoRefusal) {
  FixView view;
  view.fix.solution = emitter_view(1, 0).emitter.fix;
  view.fix.solution.chi_square = 1.5;
  view.fix.solution.degrees_of_freedom = 1;
  view.fix.emitter = EmitterKey{12, 5};
  const query_v1::Fix f = to_proto(view, names());
  EXPECT_EQ(f.refusal(), "");
  EXPECT_EQ(f.position().latitude_deg(), 41.2);
  EXPECT_EQ(f.grade(), "checked");
  EXPECT_EQ(f.chi_square(), 1.5);
  EXPECT_EQ(f.degrees_of_freedom(), 1);
  EXPECT_EQ(f.emitter_id(), 5);
}

TEST(ConvertAlert, WhatItIsNotAboutIsAbsent) {
  AlertView view;
  view.alert = {"id", "rule", AlertSeverity::urgent, at_second(5), EmitterKey{12, 5}, {}, "line"};
  const query_v1::Alert a = to_proto(view, names());
  EXPECT_EQ(a.channel_id(), 12);
  EXPECT_EQ(a.emitter_id(), 5);
  EXPECT_FALSE(a.has_station());
  EXPECT_FALSE(a.has_acknowledged_at());
  EXPECT_EQ(a.severity(), query_v1::ALERT_SEVERITY_URGENT);
  EXPECT_EQ(a.raised_at().seconds(), 5);
  EXPECT_FALSE(a.has_ended_at());
  EXPECT_FALSE(a.has_position());
  EXPECT_FALSE(a.has_posterior());
}

TEST(ConvertAlert, ItsEvidenceComesWithIt) {
  AlertView view;
  view.alert.ended_at = at_second(9);
  view.alert.muted = true;
  view.alert.evidence = {
      {1}, GeoPoint{41.5, -150.25}, ErrorEllipse{900, 300, 30, 0.95}, 0.97, "an entry there"};
  const query_v1::Alert a = to_proto(view, names());
  EXPECT_EQ(a.ended_at().seconds(), 9);
  EXPECT_TRUE(a.muted());
  ASSERT_EQ(a.stations_size(), 1);
  EXPECT_EQ(a.stations(0), names().of(1));
  EXPECT_EQ(a.position().longitude_deg(), -150.25);
  EXPECT_EQ(a.ellipse().semi_minor_m(), 300.0);
  EXPECT_EQ(a.posterior(), 0.97);
  EXPECT_EQ(a.would_change(), "an entry there");
}

TEST(ConvertEnum, EveryStateOfAnEmitterComesBack) {
  for (const EmitterState s : {EmitterState::tentative, EmitterState::confirmed,
                               EmitterState::silent, EmitterState::retired}) {
    EXPECT_EQ(from_proto(to_proto(s)), s);
  }
  EXPECT_EQ(from_proto(query_v1::EMITTER_STATE_UNSPECIFIED), std::nullopt);
  EXPECT_EQ(from_proto(static_cast<query_v1::EmitterState>(99)), std::nullopt);
}

/// Proto and model share the word: REGISTER_VERDICT_UNDECIDED is "undecided".
template <typename Proto>
std::string lower_tail(Proto value, const std::string& name, const std::string& prefix) {
  EXPECT_NE(value, 0);
  std::string word = name.substr(prefix.size());
  for (char& c : word) c = static_cast<char>(std::tolower(c));
  return word;
}

TEST(ConvertEnum, TheWordsOfProtoAndModelAreTheSame) {
  for (int i = 0; i <= static_cast<int>(RegisterVerdict::undecided); ++i) {
    const auto verdict = static_cast<RegisterVerdict>(i);
    EXPECT_EQ(
        lower_tail(to_proto(verdict), RegisterVerdict_Name(to_proto(verdict)), "REGISTER_VERDICT_"),
        to_string(verdict));
    EXPECT_EQ(from_proto(to_proto(verdict)), verdict);
  }
  for (int i = 0; i < 4; ++i) {
    const auto state = static_cast<ResultState>(i);
    EXPECT_EQ(lower_tail(to_proto(state), FixState_Name(to_proto(state)), "FIX_STATE_"),
              to_string(state));
    const auto emitter = static_cast<EmitterState>(i);
    EXPECT_EQ(lower_tail(to_proto(emitter), EmitterState_Name(to_proto(emitter)), "EMITTER_STATE_"),
              to_string(emitter));
  }
  for (int i = 0; i < 3; ++i) {
    const auto severity = static_cast<AlertSeverity>(i);
    EXPECT_EQ(
        lower_tail(to_proto(severity), AlertSeverity_Name(to_proto(severity)), "ALERT_SEVERITY_"),
        to_string(severity));
  }
  for (const Motion m : {Motion::still, Motion::moving}) {
    EXPECT_EQ(lower_tail(to_proto(m), Motion_Name(to_proto(m)), "MOTION_"), to_string(m));
  }
}

}  // namespace
}  // namespace fixwright::rpc
