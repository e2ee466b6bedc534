#include "server/register/decisions.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/unit/register/simulated_register.hpp"

namespace fixwright::register_ {
namespace {

using testing::emitter_at;
using testing::kOsmere;
using testing::licence_at;

constexpr double kFrequency_hz = 150e6;

std::shared_ptr<const Register> one_licence() {
  return std::make_shared<Register>(
      std::vector<Licence>{licence_at("OSM-12", kOsmere, kFrequency_hz)});
}

Emitter emitter(double east_m, double sigma_m = 300.0) {
  return emitter_at(geodesy::displace(kOsmere, {east_m, 0.0}), sigma_m, kFrequency_hz);
}

TEST(RegisterDecisions, TentativeEmittersAreNotDecided) {
  RegisterDecisions decisions{one_licence()};
  Emitter e = emitter(0);
  e.state = EmitterState::tentative;
  EXPECT_FALSE(decisions.on_emitter(e).has_value());
  EXPECT_EQ(decisions.find(e.key), nullptr);
}

TEST(RegisterDecisions, EachEmitterIsDecidedOnceNotOnceAFix) {
  RegisterDecisions decisions{one_licence()};
  ASSERT_TRUE(decisions.on_emitter(emitter(0)).has_value());
  for (int i = 1; i < 100; ++i) {
    Emitter e = emitter(2.5 * i);  // to 0.8 sigma
    e.last_heard += std::chrono::minutes{i};
    EXPECT_FALSE(decisions.on_emitter(e).has_value());
  }
  EXPECT_EQ(decisions.find({1017, 1})->verdict, RegisterVerdict::registered);
}

TEST(RegisterDecisions, MaterialMoveDecidesAgainAndTellsOnlyNews) {
  RegisterDecisions decisions{one_licence()};
  decisions.on_emitter(emitter(0));
  EXPECT_FALSE(decisions.on_emitter(emitter(400)).has_value());  // decided again: still registered
  const auto moved = decisions.on_emitter(emitter(30'000));
  ASSERT_TRUE(moved.has_value());
  EXPECT_EQ(moved->verdict, RegisterVerdict::unregistered);
}

TEST(RegisterDecisions, ShrunkenEllipseDecidesAgain) {
  RegisterDecisions decisions{one_licence()};
  EXPECT_EQ(decisions.on_emitter(emitter(2000, 1000.0))->verdict, RegisterVerdict::registered);
  EXPECT_FALSE(decisions.on_emitter(emitter(2000, 800.0)).has_value());  // area 0.64 of the old
  EXPECT_EQ(decisions.on_emitter(emitter(2000, 200.0))->verdict,
            RegisterVerdict::position_disagrees);
}

TEST(RegisterDecisions, LicenceThatEndsShowsOnTheNextUtcDay) {
  Licence l = licence_at("OSM-12", kOsmere, kFrequency_hz);
  l.valid_until = *parse_rfc3339("2031-05-05T00:00:00Z");
  RegisterDecisions decisions{std::make_shared<Register>(std::vector<Licence>{l})};
  EXPECT_EQ(decisions.on_emitter(emitter(0))->verdict, RegisterVerdict::registered);
  Emitter next_day = emitter(0);
  next_day.last_heard = *l.valid_until;
  EXPECT_EQ(decisions.on_emitter(next_day)->verdict, RegisterVerdict::out_of_validity);
}

TEST(RegisterDecisions, RestoredVerdictKeepsItsHysteresis) {
  RegisterDecisions fresh{one_licence()};
  EXPECT_EQ(fresh.on_emitter(emitter(1200))->verdict, RegisterVerdict::undecided);

  RegisterDecisions restored{one_licence()};
  RegisterMatch before;
  before.emitter = {1017, 1};
  before.verdict = RegisterVerdict::registered;
  before.licence = "OSM-12";
  restored.restore(before, emitter(0));
  EXPECT_FALSE(restored.on_emitter(emitter(1200)).has_value());
  EXPECT_EQ(restored.find({1017, 1})->verdict, RegisterVerdict::registered);
}

TEST(RegisterDecisions, NewRegisterDecidesEveryEmitterAgain) {
  RegisterDecisions decisions{one_licence()};
  decisions.on_emitter(emitter(0));
  decisions.replace(std::make_shared<Register>(
      std::vector<Licence>{licence_at("OSM-99", kOsmere, kFrequency_hz + 1e6)}));
  EXPECT_EQ(decisions.on_emitter(emitter(0))->verdict, RegisterVerdict::unregistered);
}

TEST(RegisterDecisions, ASilentEmitterIsDecidedAgainToo) {
  RegisterDecisions decisions{one_licence()};
  Emitter e = emitter(0);
  decisions.on_emitter(e);
  e.state = EmitterState::silent;
  decisions.on_emitter(e);
  EXPECT_TRUE(decisions.decide_again().empty());  // nothing was replaced
  decisions.replace(std::make_shared<Register>(
      std::vector<Licence>{licence_at("OSM-99", kOsmere, kFrequency_hz + 1e6)}));
  const auto news = decisions.decide_again();
  ASSERT_EQ(news.size(), 1U);
  EXPECT_EQ(news.front().match.verdict, RegisterVerdict::unregistered);
  EXPECT_EQ(decisions.find(e.key)->verdict, RegisterVerdict::unregistered);
  EXPECT_TRUE(decisions.decide_again().empty());
}

TEST(RegisterDecisions, OneThatWasRestoredIsDecidedAgainWithoutBeingHeard) {
  RegisterDecisions decisions{one_licence()};
  RegisterMatch before;
  before.emitter = {1017, 1};
  before.verdict = RegisterVerdict::unregistered;
  decisions.restore(before, emitter(0));
  decisions.replace(one_licence());
  const auto news = decisions.decide_again();
  ASSERT_EQ(news.size(), 1U);
  EXPECT_EQ(news.front().match.verdict, RegisterVerdict::registered);
}

TEST(RegisterDecisions, WhatTheNewRegisterSaysAlikeIsNoNews) {
  RegisterDecisions decisions{one_licence()};
  decisions.on_emitter(emitter(0));
  decisions.replace(one_licence());
  EXPECT_TRUE(decisions.decide_again().empty());
}

TEST(RegisterDecisions, PersonsWordStandsOverTheRegistersUntilItIsTakenBack) {
  RegisterDecisions decisions{one_licence()};
  decisions.on_emitter(emitter(30'000));
  RegisterOpinion word;
  word.emitter = {1017, 1};
  word.verdict = RegisterVerdict::registered;
  word.licence = "OSM-12";
  word.note = "its mast was moved";
  word.by = "night watch";
  decisions.replace(one_licence(), {{word.emitter, word}});
  const auto match = decisions.on_emitter(emitter(30'000));
  ASSERT_TRUE(match.has_value());
  EXPECT_EQ(match->verdict, RegisterVerdict::registered);
  EXPECT_EQ(match->licence, "OSM-12");
  EXPECT_NEAR(*match->distance_m, 30'000.0, 1e-6);
  EXPECT_THAT(match->evidence, ::testing::StartsWith("night watch decided: its mast was moved; the "
                                                     "register alone: unregistered, not found"));
  decisions.replace(one_licence());
  EXPECT_EQ(decisions.on_emitter(emitter(30'000))->verdict, RegisterVerdict::unregistered);
}

TEST(RegisterDecisions, RetiredEmittersAreForgotten) {
  RegisterDecisions decisions{one_licence()};
  Emitter e = emitter(0);
  decisions.on_emitter(e);
  e.state = EmitterState::retired;
  EXPECT_FALSE(decisions.on_emitter(e).has_value());
  EXPECT_EQ(decisions.find(e.key), nullptr);
}

}  // namespace
}  // namespace fixwright::register_
