/// One bearing in five is a gross error, evenly spread round the compass.
///
/// Counted: the share answered; of those, the share in a wrong place; RMSE of the others over the
/// bound of the good bearings that were there; how often the 95 % region held. 40 000 trials:
/// standard errors 0.2 % of the share answered, 0.03 % of the wrong ones, 0.1 % of the region's.
///
/// A place is wrong when it is farther from the emitter than five times the bound of the good
/// bearings that were there; always when fewer than two were. `strayed` counts the stricter five
/// times the bound of all stations, which three good bearings of poor geometry also miss.
///
/// Why 2 degrees and not 5: a gross bearing passes within the errors of a good crossing in
/// proportion to sigma, and then nobody can tell it. The best any rule can do, acceptance by an
/// approximate posterior (Laplace) over every set of good bearings with the true share known, was
/// measured in the four-station layout (20 000 trials, the 80 % surest answered, the strict count):
/// sigma 1, 2, 3, 5 degrees: 0.47, 0.66, 1.0, 1.3 % strayed, RMSE / bound 1.02, 1.03, 1.05, 1.07.

#include <gtest/gtest.h>

#include <iostream>

#include "tests/unit/locate/trials.hpp"

namespace fixwright::locate {
namespace {

using trials::Layout;
using trials::Seat;

constexpr int kTrials = 40'000;
constexpr double kGrossShare = 0.2;

struct Outcome {
  double answered = 0.0;
  double wrong = 0.0;
  double strayed = 0.0;
  double rmse_over_bound = 0.0;
  double rmse_m = 0.0;
  double held_95 = 0.0;
};

/// Replaces some bearings; the good ones come back.
std::vector<PooledBearing> corrupt(std::vector<PooledBearing>& bearings, bool with_alternatives,
                                   std::mt19937_64& random) {
  std::uniform_real_distribution<double> share(0.0, 1.0);
  std::vector<PooledBearing> good;
  for (PooledBearing& b : bearings) {
    const double elsewhere_deg = 360.0 * share(random);
    const bool gross = share(random) < kGrossShare;
    const double direct_deg = b.azimuth_deg;
    if (gross) {
      b.azimuth_deg = elsewhere_deg;
    }
    if (with_alternatives) {  // the spatial spectrum shows both arrivals, the stronger first
      b.alternatives = {{gross ? direct_deg : elsewhere_deg, 0.5}};
    }
    if (!gross || with_alternatives) {
      good.push_back(b);
    }
  }
  return good;
}

double wrong_from_m(const std::vector<PooledBearing>& good, GeoPoint emitter) {
  return good.size() < 2 ? 0.0 : 5.0 * std::sqrt(trials::bound_m2(good, emitter));
}

Outcome run(const Layout& layout, bool with_alternatives) {
  std::mt19937_64 random(20311);  // the rules were tuned on another seed
  LocateRules rules;
  rules.gross_error_share = kGrossShare;
  const auto exact = trials::exact_bearings(layout);
  const double strayed_m = 5.0 * std::sqrt(trials::bound_m2(exact, layout.emitter));
  int accepted = 0;
  int wrong = 0;
  int strayed = 0;
  int held = 0;
  double squares_m2 = 0.0;
  double bounds_m2 = 0.0;
  for (int i = 0; i < kTrials; ++i) {
    auto bearings = exact;
    world::add_noise(bearings, random);
    const auto good = corrupt(bearings, with_alternatives, random);
    const CrossFix fix = cross_fix(bearings, rules);
    if (!fix.accepted()) {
      continue;
    }
    ++accepted;
    held += region_holds(bearings, fix, 0.95, layout.emitter, rules) ? 1 : 0;
    const double miss_m = geodesy::distance_m(fix.position, layout.emitter);
    wrong += miss_m > wrong_from_m(good, layout.emitter) ? 1 : 0;
    if (miss_m > strayed_m) {
      ++strayed;
    } else if (good.size() >= 2) {
      squares_m2 += miss_m * miss_m;
      bounds_m2 += std::min(trials::bound_m2(good, layout.emitter), strayed_m * strayed_m);
    }
  }
  return {static_cast<double>(accepted) / kTrials, static_cast<double>(wrong) / accepted,
          static_cast<double>(strayed) / accepted, std::sqrt(squares_m2 / bounds_m2),
          std::sqrt(squares_m2 / accepted),        static_cast<double>(held) / accepted};
}

void show(const char* what, const Outcome& o) {
  std::cout << what << ": answered " << o.answered << ", wrong place " << o.wrong << ", strayed "
            << o.strayed << ", RMSE / bound " << o.rmse_over_bound << ", RMSE " << o.rmse_m
            << " m, 95 % region held " << o.held_95 << '\n';
}

const std::vector<Seat> kSix{{0, 20e3},   {45, 28e3},  {95, 22e3},
                             {150, 30e3}, {200, 25e3}, {290, 35e3}};

Layout four(double sigma_deg) { return {"four", {kSix.begin(), kSix.begin() + 4}, sigma_deg}; }
Layout six(double sigma_deg) { return {"six", kSix, sigma_deg}; }

class GrossErrorsAt : public ::testing::TestWithParam<double> {};

TEST_P(GrossErrorsAt, OneInFiveAtFourStationsRarelyMisleads) {
  const Outcome o = run(four(GetParam()), false);
  show("four stations", o);
  EXPECT_LE(o.wrong, 0.005);
  // The strict count keeps the same goal at 1 degree; at 2 the best measured above has 0.66 %.
  EXPECT_LE(o.strayed, GetParam() < 1.5 ? 0.005 : 0.0066);
  // Of all trials 81.9 % have three good bearings: 0.8^4 + 4 * 0.2 * 0.8^3.
  EXPECT_GE(o.answered, 0.80);
  EXPECT_LE(o.rmse_over_bound, 1.05);
  EXPECT_GE(o.held_95, 0.93);
}

INSTANTIATE_TEST_SUITE_P(Sigma1And2, GrossErrorsAt, ::testing::Values(1.0, 2.0));

/// Past 2 degrees the goals are past what any rule attains (above). What still holds: wrong places
/// stay rare, it is the answers that become fewer.
class BroadGrossErrors : public ::testing::TestWithParam<double> {};

TEST_P(BroadGrossErrors, CostAnswersBeforeTheyMislead) {
  const Outcome o = run(four(GetParam()), false);
  show("four stations, broad", o);
  EXPECT_LE(o.wrong, 0.0055);  // 0.5 % and a standard error and a half
  EXPECT_GE(o.answered, 0.74);
  EXPECT_LE(o.rmse_over_bound, 1.08);
  EXPECT_GE(o.held_95, 0.91);
}

INSTANTIATE_TEST_SUITE_P(Sigma3And5, BroadGrossErrors, ::testing::Values(3.0, 5.0));

/// The same seed. RMSE over each layout's own bound is no such count: with six stations 1.2 gross
/// bearings are expected instead of 0.8, and those that pass unseen within the errors of the good
/// ones widen its fix a little more (1.024 against 1.021, 1.044 against 1.037). In metres six are
/// better by a tenth.
TEST_P(GrossErrorsAt, SixStationsAreBetterThanFour) {
  const Outcome with_four = run(four(GetParam()), false);
  const Outcome with_six = run(six(GetParam()), false);
  show("six stations", with_six);
  EXPECT_GT(with_six.answered, with_four.answered + 0.1);
  EXPECT_LT(with_six.strayed, with_four.strayed);
  EXPECT_LT(with_six.wrong, with_four.wrong);
  EXPECT_LT(with_six.rmse_m, 0.95 * with_four.rmse_m);
  EXPECT_LE(with_six.rmse_over_bound, 1.05);
  EXPECT_GE(with_six.held_95, 0.93);
  // The same share within the noise of the count: three standard errors of a difference.
  EXPECT_GE(with_six.held_95, with_four.held_95 - 0.004);
}

TEST(GrossErrors, AlternativeAzimuthsLeaveFewerRefused) {
  const Outcome without = run(four(1.0), false);
  const Outcome with = run(four(1.0), true);
  show("four stations, alternatives", with);
  EXPECT_GT(with.answered, without.answered + 0.1);
  EXPECT_LE(with.wrong, without.wrong);
  EXPECT_GE(with.held_95, 0.93);
}

}  // namespace
}  // namespace fixwright::locate
