#include "server/register/register.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/unit/register/simulated_register.hpp"

namespace fixwright::register_ {
namespace {

using fixwright::register_::testing::emitter_at;
using fixwright::register_::testing::kOsmere;
using fixwright::register_::testing::licence_at;
using fixwright::register_::testing::noon;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::UnorderedElementsAre;

constexpr double kFrequency_hz = 150e6;

GeoPoint east_of_osmere(double m) { return geodesy::displace(kOsmere, {m, 0.0}); }

Register one_licence(RegisterRules rules = {}) {
  return Register{{licence_at("OSM-12", kOsmere, kFrequency_hz)}, rules};
}

const Register kOneLicence = one_licence();

RegisterMatch match_at(double east_m, double sigma_m, RegisterVerdict before) {
  RegisterMatch previous;
  previous.verdict = before;
  return one_licence().match(emitter_at(east_of_osmere(east_m), sigma_m, kFrequency_hz), previous);
}

std::vector<std::string> ids(const std::vector<const Licence*>& licences) {
  std::vector<std::string> out;
  for (const auto* l : licences) out.push_back(l->id);
  return out;
}

TEST(RegisterPosterior, IsTheFormulaByHand) {
  // One licence 2 km away, sigma 300 m and 100 m: total variance 0.1 km^2, with a wrong row
  // 9.09 km^2. N = exp(-d^2 / 2v) / (2 pi v), so right 0.98 * 1.59155 * 2.0612e-9 = 3.2149e-9,
  // wrong 0.02 * 0.0175088 * 0.802518 = 2.81023e-4, unknown 1e-4; sum 3.81026e-4.
  const auto p = kOneLicence.posterior(emitter_at(east_of_osmere(2000), 300.0, kFrequency_hz));
  EXPECT_NEAR(p.wrong_row, 0.73754, 1e-5);  // five digits were carried
  EXPECT_NEAR(p.unknown, 0.26245, 1e-5);
  EXPECT_NEAR(p.right_row, 8.437e-6, 2e-9);
  ASSERT_NE(p.on_channel.licence, nullptr);
  EXPECT_EQ(p.on_channel.licence->id, "OSM-12");
  EXPECT_NEAR(p.on_channel.distance_m, 2000.0, 1e-6);  // displaced along the geodesic
}

TEST(RegisterPosterior, CorrelationTurnsTheSamePlaceFromLikelyToUnlikely) {
  Emitter along = emitter_at(geodesy::displace(kOsmere, {1500, 1500}), 1000.0, kFrequency_hz);
  along.fix.covariance.en_m2 = 0.95e6;  // long axis to the north-east
  Emitter across = along;
  across.fix.covariance.en_m2 = -0.95e6;
  EXPECT_GT(kOneLicence.posterior(along).right_row, 0.99);
  EXPECT_LT(kOneLicence.posterior(across).right_row, 0.01);
}

TEST(RegisterPosterior, StaysFiniteFiftySigmasAwayAndSumsToOne) {
  for (const double d_m : {0.0, 1e3, 1e4, 1e5, 1e6, 1e7}) {
    const auto p = kOneLicence.posterior(emitter_at(east_of_osmere(d_m), 20.0, kFrequency_hz));
    EXPECT_DOUBLE_EQ(p.right_row + p.wrong_row + p.unknown, 1.0) << d_m;
    EXPECT_NE(p.on_channel.licence, nullptr) << d_m;
  }
}

TEST(RegisterMatch, TwoKilometresFromTheOnlyLicenceThePositionDisagrees) {
  const auto m = match_at(2000, 300.0, RegisterVerdict::undecided);
  EXPECT_EQ(m.verdict, RegisterVerdict::position_disagrees);
  EXPECT_EQ(m.licence, "OSM-12");
  EXPECT_NEAR(*m.distance_m, 2000.0, 1e-6);
  EXPECT_GT(m.posterior, 0.99);  // that it is not where the register has it
}

TEST(RegisterMatch, OnItsSiteIsRegisteredAndFarAwayIsNotFound) {
  EXPECT_EQ(match_at(100, 300.0, RegisterVerdict::undecided).verdict, RegisterVerdict::registered);
  const auto far = match_at(30'000, 300.0, RegisterVerdict::undecided);
  EXPECT_EQ(far.verdict, RegisterVerdict::unregistered);
  EXPECT_NEAR(*far.distance_m, 30'000.0, 1e-6);  // the nearest entry is named all the same
}

TEST(RegisterMatch, VerdictIsTakenAtNinetyFivePerCentAndKeptToEighty) {
  // At sigma 300 m: 1.10 km gives 0.97, 1.20 km 0.92, 1.50 km 0.34 for the licence.
  EXPECT_EQ(match_at(1100, 300.0, RegisterVerdict::undecided).verdict, RegisterVerdict::registered);
  EXPECT_EQ(match_at(1200, 300.0, RegisterVerdict::undecided).verdict, RegisterVerdict::undecided);
  EXPECT_EQ(match_at(1200, 300.0, RegisterVerdict::registered).verdict,
            RegisterVerdict::registered);
  EXPECT_NE(match_at(1500, 300.0, RegisterVerdict::registered).verdict,
            RegisterVerdict::registered);
}

TEST(RegisterMatch, NotFoundOutlastsAWeakDisagreementAndEndsWithAStrongOne) {
  // Unknown: 8.2 km gives 0.92, 6 km 0.65.
  EXPECT_EQ(match_at(8200, 300.0, RegisterVerdict::undecided).verdict,
            RegisterVerdict::position_disagrees);
  EXPECT_EQ(match_at(8200, 300.0, RegisterVerdict::unregistered).verdict,
            RegisterVerdict::unregistered);
  EXPECT_EQ(match_at(6000, 300.0, RegisterVerdict::unregistered).verdict,
            RegisterVerdict::position_disagrees);
  EXPECT_EQ(match_at(100, 300.0, RegisterVerdict::unregistered).verdict,
            RegisterVerdict::registered);
}

TEST(RegisterMatch, NobodyIsCalledUnregisteredByAnEmptyRegister) {
  const auto m = Register{{}}.match(emitter_at(kOsmere, 300.0, kFrequency_hz));
  EXPECT_EQ(m.verdict, RegisterVerdict::undecided);
  EXPECT_EQ(m.posterior, 0.0);
  EXPECT_FALSE(m.licence.has_value());
}

TEST(RegisterMatch, FrequencyWithoutAnyLicenceIsNotFoundForCertain) {
  const auto m = one_licence().match(emitter_at(kOsmere, 300.0, 151e6));
  EXPECT_EQ(m.verdict, RegisterVerdict::unregistered);
  EXPECT_EQ(m.posterior, 1.0);
  EXPECT_FALSE(m.licence.has_value());
}

TEST(RegisterMatch, BesideItsBandAtItsSiteIsOffFrequencyByHowMuch) {
  // 0.005 * 1.55 per km^2 at 70 m against 1e-4 unknown ones: 0.987.
  const auto m = one_licence().match(emitter_at(east_of_osmere(70), 300.0, kFrequency_hz + 14e3));
  EXPECT_EQ(m.verdict, RegisterVerdict::off_frequency);
  EXPECT_EQ(m.licence, "OSM-12");
  EXPECT_EQ(m.frequency_offset_hz, 14e3);
  EXPECT_NEAR(m.posterior, 0.987, 0.001);  // three digits by hand
  EXPECT_THAT(m.evidence,
              HasSubstr("at the place of entry OSM-12, 70 m away, centre +14.0 kHz off, "
                        "outside its band of 12.5 kHz"));
  // Past the reach (6.25 + 2 + 10 kHz) it is no entry's; nor is it 2 km from the site.
  EXPECT_EQ(one_licence().match(emitter_at(kOsmere, 300.0, kFrequency_hz + 18.3e3)).verdict,
            RegisterVerdict::unregistered);
  EXPECT_EQ(
      one_licence().match(emitter_at(east_of_osmere(2000), 300.0, kFrequency_hz + 14e3)).verdict,
      RegisterVerdict::unregistered);
}

TEST(RegisterMatch, NeighbourOfAnEntryInForceIsThatEntrysNotTheOther) {
  const Register two{{licence_at("OSM-1", kOsmere, kFrequency_hz),
                      licence_at("OSM-2", kOsmere, kFrequency_hz + 12.5e3)}};
  const auto m = two.match(emitter_at(kOsmere, 300.0, kFrequency_hz));
  EXPECT_EQ(m.verdict, RegisterVerdict::registered);
  EXPECT_EQ(m.licence, "OSM-1");
}

TEST(RegisterMatch, EndedAndComingEntriesAreOutOfValidityWithTheirTimes) {
  Licence ended = licence_at("OSM-12", kOsmere, kFrequency_hz);
  ended.valid_until = *parse_rfc3339("2031-05-01T00:00:00Z");
  const Emitter there = emitter_at(east_of_osmere(70), 300.0, kFrequency_hz);
  const auto m = Register{{ended}}.match(there);
  EXPECT_EQ(m.verdict, RegisterVerdict::out_of_validity);
  EXPECT_EQ(m.licence, "OSM-12");
  EXPECT_THAT(m.evidence, HasSubstr("which ended at 2031-05-01T00:00:00.000Z"));
  Licence coming = licence_at("OSM-13", kOsmere, kFrequency_hz);
  coming.valid_from = *parse_rfc3339("2031-06-01T00:00:00Z");
  EXPECT_THAT(Register{{coming}}.match(there).evidence,
              HasSubstr("which begins at 2031-06-01T00:00:00.000Z"));
}

TEST(RegisterMatch, EntryWithALongPastIsRegisteredAllTheSame) {
  std::vector<Licence> rows{licence_at("OSM-NOW", kOsmere, kFrequency_hz)};
  for (int i = 0; i < 20; ++i) {
    rows.push_back(licence_at("OSM-OLD-" + std::to_string(i), kOsmere, kFrequency_hz));
    rows.back().valid_until = *parse_rfc3339("2031-01-01T00:00:00Z");
  }
  const auto m = Register{rows}.match(emitter_at(east_of_osmere(70), 300.0, kFrequency_hz));
  EXPECT_EQ(m.verdict, RegisterVerdict::registered);
  EXPECT_EQ(m.licence, "OSM-NOW");
}

TEST(RegisterMatch, EvidenceSaysWhyNothingWasCompared) {
  Emitter moving = emitter_at(kOsmere, 300.0, kFrequency_hz);
  moving.motion = Motion::moving;
  EXPECT_EQ(one_licence().match(moving).evidence, "it moves, so it has no site to compare");
  EXPECT_EQ(Register{{}}.match(moving).evidence, "the register is empty");
}

TEST(RegisterMatch, RefusedFixAndMovingEmitterAreUndecided) {
  Emitter refused = emitter_at(kOsmere, 300.0, kFrequency_hz);
  refused.fix.refusal = Refusal::ambiguous;
  EXPECT_EQ(one_licence().match(refused).verdict, RegisterVerdict::undecided);
  Emitter moving = emitter_at(kOsmere, 300.0, kFrequency_hz);
  moving.motion = Motion::moving;
  EXPECT_EQ(one_licence().match(moving).verdict, RegisterVerdict::undecided);
}

TEST(RegisterMatch, ProbabilityNeverLeavesZeroToOneByRounding) {
  for (double d_m = 0.0; d_m < 20'000.0; d_m += 17.0) {
    const auto m = match_at(d_m, 250.0, RegisterVerdict::undecided);
    EXPECT_GE(m.posterior, 0.0) << d_m;
    EXPECT_LE(m.posterior, 1.0) << d_m;
  }
}

TEST(RegisterMatch, LikelierOfTwoEntriesIsNamed) {
  const Register two{{licence_at("OSM-1", east_of_osmere(-5000), kFrequency_hz),
                      licence_at("OSM-2", east_of_osmere(600), kFrequency_hz)}};
  EXPECT_EQ(two.match(emitter_at(kOsmere, 300.0, kFrequency_hz)).licence, "OSM-2");
}

TEST(RegisterMatch, OverTheAntimeridianIsStillNear) {
  const Register across{{licence_at("FAR-1", {41.0, 179.999}, kFrequency_hz)}};
  const auto m = across.match(emitter_at({41.0, -179.999}, 300.0, kFrequency_hz));
  EXPECT_EQ(m.verdict, RegisterVerdict::registered);
  EXPECT_NEAR(*m.distance_m, 168.2, 0.1);  // 0.002 deg of the parallel at 41 N: 84.1 km/deg
}

TEST(RegisterCandidates, BandAndToleranceDecideAndEndsAreIncluded) {
  Licence block = licence_at("BLOCK", kOsmere, 155e6);
  block.bandwidth_hz = 2e6;
  const Register known{{block, licence_at("A", kOsmere, 154.9e6), licence_at("B", kOsmere, 160e6)}};
  EXPECT_THAT(ids(known.candidates(154.9e6, noon())), UnorderedElementsAre("A", "BLOCK"));
  EXPECT_THAT(ids(known.candidates(155.9e6, noon())), ElementsAre("BLOCK"));
  EXPECT_THAT(ids(known.candidates(156.002e6, noon())), ElementsAre("BLOCK"));
  EXPECT_THAT(ids(known.candidates(156.0021e6, noon())), IsEmpty());
  EXPECT_THAT(ids(known.candidates(159.99175e6, noon())), ElementsAre("B"));
  EXPECT_THAT(ids(known.candidates(159.9917e6, noon())), IsEmpty());
}

TEST(RegisterCandidates, AgreeWithASearchThroughEveryRow) {
  fixwright::register_::testing::SimulatedRegister sim{2000, 3};
  std::vector<Licence> rows = sim.rows();
  for (std::size_t i = 0; i < rows.size(); i += 50) rows[i].bandwidth_hz = 1e5 * double(i % 7);
  const Register known{rows};
  for (double f_hz = 149.9e6; f_hz < 152.7e6; f_hz += 7'300.0) {
    std::vector<std::string> expected;
    for (const Licence& l : rows) {
      if (std::abs(l.frequency_hz - f_hz) <= l.bandwidth_hz / 2.0 + 2000.0) {
        expected.push_back(l.id);
      }
    }
    EXPECT_THAT(ids(known.candidates(f_hz, noon())),
                ::testing::UnorderedElementsAreArray(expected));
  }
}

TEST(RegisterCandidates, ValidityBeginsInclusiveAndEndsExclusive) {
  Licence l = licence_at("OSM-12", kOsmere, kFrequency_hz);
  l.valid_from = *parse_rfc3339("2031-01-01T00:00:00Z");
  l.valid_until = *parse_rfc3339("2032-01-01T00:00:00Z");
  const Register known{{l}};
  const Duration ns{1};
  EXPECT_THAT(known.candidates(kFrequency_hz, *l.valid_from - ns), IsEmpty());
  EXPECT_EQ(known.candidates(kFrequency_hz, *l.valid_from).size(), 1U);
  EXPECT_EQ(known.candidates(kFrequency_hz, *l.valid_until - ns).size(), 1U);
  EXPECT_THAT(known.candidates(kFrequency_hz, *l.valid_until), IsEmpty());
}

}  // namespace
}  // namespace fixwright::register_
