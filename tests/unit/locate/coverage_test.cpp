/// Does the stated region hold the emitter as often as it says, in every geometry?
///
/// 10 000 trials a layout: one standard error of the share is 0.5 % at 50 %, 0.22 % at 95 %, 0.1 %
/// at 99 %. The tolerances, 1.5, 0.7 and 0.4 %, are three standard errors.
/// The seed is fixed, so a run that passes goes on passing until the code changes.

#include <gtest/gtest.h>

#include <iostream>
#include <string>

#include "tests/unit/locate/trials.hpp"

namespace fixwright::locate {
namespace {

using trials::Layout;
using trials::Tally;

constexpr int kTrials = 10'000;

class Coverage : public ::testing::TestWithParam<Layout> {};

TEST_P(Coverage, HoldsTheEmitterAsOftenAsStated) {
  const Tally tally = trials::run(GetParam(), kTrials, 2031);
  std::cout << GetParam().name << ": answered " << tally.answered() << ", 50 % region "
            << tally.share(tally.held_50) << ", 95 % " << tally.share(tally.held_95) << ", 99 % "
            << tally.share(tally.held_99) << "; likelihood ratio " << tally.share(tally.ratio_50)
            << ", " << tally.share(tally.ratio_95) << ", " << tally.share(tally.ratio_99) << '\n';
  EXPECT_NEAR(tally.share(tally.held_50), 0.50, 0.015);
  EXPECT_NEAR(tally.share(tally.held_95), 0.95, 0.007);
  EXPECT_NEAR(tally.share(tally.held_99), 0.99, 0.004);
  EXPECT_GT(tally.answered(), 0.99);  // refusing the hard ones would flatter
}

std::string name_of(const ::testing::TestParamInfo<Layout>& info) { return info.param.name; }

INSTANTIATE_TEST_SUITE_P(
    Fair, Coverage,
    ::testing::Values(
        Layout{"ThreeAround20km", {{0, 20e3}, {120, 20e3}, {240, 20e3}}, 1.0},
        Layout{"FourAround30km", {{10, 25e3}, {100, 35e3}, {190, 20e3}, {280, 30e3}}, 2.0},
        Layout{"SixAround40km",
               {{0, 40e3}, {60, 20e3}, {120, 50e3}, {180, 30e3}, {240, 45e3}, {300, 15e3}},
               3.0},
        Layout{"FiveAt80kmSigma5",
               {{0, 80e3}, {50, 70e3}, {110, 60e3}, {170, 80e3}, {230, 50e3}},
               5.0},
        Layout{"ThreeAt5kmSigma5", {{0, 5e3}, {100, 6e3}, {220, 4e3}}, 5.0},
        Layout{"TwoStations", {{0, 30e3}, {80, 31e3}}, 2.0}),
    name_of);

INSTANTIATE_TEST_SUITE_P(
    Hard, Coverage,
    ::testing::Values(
        Layout{"NarrowThree", {{0, 40e3}, {7, 42e3}, {15, 41e3}}, 1.0},
        Layout{"NarrowFourSigma2", {{0, 40e3}, {5, 42e3}, {10, 38e3}, {15, 41e3}}, 2.0},
        Layout{"NarrowTwo", {{0, 40e3}, {15, 41e3}}, 1.0},
        Layout{"OnTheBaseline", {{0, 20e3}, {180, 25e3}, {90, 30e3}}, 2.0},
        Layout{"OnTheBaselineSigma5", {{0, 20e3}, {180, 25e3}, {90, 30e3}}, 5.0},
        Layout{"OnTheBaselineFarThird", {{0, 20e3}, {180, 25e3}, {60, 60e3}, {200, 70e3}}, 3.0},
        Layout{"NearCollinear", {{320, 40e3}, {345, 32e3}, {15, 31e3}, {40, 40e3}}, 2.0},
        Layout{"CollinearOblique", {{0, 30e3}, {45, 42.4e3}, {63.4, 67e3}}, 1.0},
        Layout{"NearAStation500m", {{0, 500}, {100, 20e3}, {200, 25e3}}, 3.0},
        Layout{"NearAStation100m", {{0, 100}, {100, 20e3}, {200, 25e3}, {300, 30e3}}, 2.0},
        Layout{"Sigma10Three", {{0, 20e3}, {120, 20e3}, {240, 20e3}}, 10.0},
        Layout{"Sigma10Four", {{0, 20e3}, {90, 20e3}, {180, 25e3}, {260, 30e3}}, 10.0},
        Layout{"Sigma10SixUneven",
               {{0, 20e3}, {40, 10e3}, {90, 20e3}, {180, 25e3}, {200, 14e3}, {260, 30e3}},
               10.0}),
    name_of);

INSTANTIATE_TEST_SUITE_P(
    Far, Coverage,
    ::testing::Values(
        Layout{"FourTo800km", {{0, 500e3}, {60, 400e3}, {120, 300e3}, {200, 800e3}}, 1.0},
        Layout{"Narrow900km", {{0, 900e3}, {10, 850e3}, {20, 880e3}}, 0.5},
        Layout{"North70", {{0, 300e3}, {120, 350e3}, {240, 250e3}}, 1.0, {70.0, 20.0}},
        Layout{
            "NearThePole", {{10, 25e3}, {100, 35e3}, {190, 20e3}, {280, 30e3}}, 2.0, {89.7, 100.0}},
        Layout{"NearTheSouthPole600km",
               {{10, 600e3}, {100, 350e3}, {190, 200e3}},
               1.0,
               {-89.8, -30.0}},
        Layout{"OverTheAntimeridian",
               {{10, 25e3}, {100, 35e3}, {190, 20e3}, {280, 30e3}},
               2.0,
               {-17.0, 179.99}}),
    name_of);

/// Why the region is the score's and not the likelihood ratio's: a bearing of a station close by
/// says nothing of where on its other side the emitter is, its residual stays small there, and the
/// ratio region holds too often. In the other 23 layouts both hold as stated (printed above).
class NearAStation : public ::testing::TestWithParam<Layout> {};

TEST_P(NearAStation, TheLikelihoodRatioHoldsTooOftenAndTheScoreAsStated) {
  const Tally tally = trials::run(GetParam(), kTrials, 2031);
  EXPECT_GT(tally.share(tally.ratio_50), 0.515);
  EXPECT_GT(tally.share(tally.ratio_95), 0.957);
  EXPECT_NEAR(tally.share(tally.held_50), 0.50, 0.015);
  EXPECT_NEAR(tally.share(tally.held_95), 0.95, 0.007);
}

INSTANTIATE_TEST_SUITE_P(
    Both, NearAStation,
    ::testing::Values(
        Layout{"NearAStation500m", {{0, 500}, {100, 20e3}, {200, 25e3}}, 3.0},
        Layout{"NearAStation100m", {{0, 100}, {100, 20e3}, {200, 25e3}, {300, 30e3}}, 2.0}),
    name_of);

/// RMSE over the bound in fair geometry: 10 000 trials put a standard error of 0.5 % on it.
class Efficiency : public ::testing::TestWithParam<Layout> {};

TEST_P(Efficiency, StaysWithinTwoPercentOfTheCramerRaoBound) {
  const Tally tally = trials::run(GetParam(), kTrials, 7);
  const double bound_m =
      std::sqrt(trials::bound_m2(trials::exact_bearings(GetParam()), GetParam().emitter));
  std::cout << GetParam().name << ": RMSE / bound " << tally.rmse_m() / bound_m << ", answered "
            << tally.answered() << '\n';
  EXPECT_LE(tally.rmse_m() / bound_m, 1.02);
  EXPECT_GE(tally.rmse_m() / bound_m, 0.98);  // less would be a wrong bound
  EXPECT_GT(tally.answered(), 0.99);
}

INSTANTIATE_TEST_SUITE_P(
    Fair, Efficiency,
    ::testing::Values(
        Layout{"ThreeAround20km", {{0, 20e3}, {120, 20e3}, {240, 20e3}}, 1.0},
        Layout{"FourAround30km", {{10, 25e3}, {100, 35e3}, {190, 20e3}, {280, 30e3}}, 2.0},
        Layout{"FiveAround5km", {{0, 5e3}, {70, 6e3}, {140, 5e3}, {215, 7e3}, {290, 6e3}}, 2.0},
        Layout{"SixAround80km",
               {{0, 80e3}, {60, 70e3}, {120, 75e3}, {180, 60e3}, {240, 65e3}, {300, 80e3}},
               3.0},
        Layout{"FourTo800km", {{0, 500e3}, {60, 400e3}, {120, 300e3}, {200, 800e3}}, 1.0},
        Layout{"North70", {{0, 300e3}, {120, 350e3}, {240, 250e3}}, 1.0, {70.0, 20.0}},
        Layout{
            "NearThePole", {{10, 25e3}, {100, 35e3}, {190, 20e3}, {280, 30e3}}, 1.0, {89.7, 100.0}},
        Layout{"OverTheAntimeridian",
               {{10, 25e3}, {100, 35e3}, {190, 20e3}, {280, 30e3}},
               1.0,
               {-17.0, 179.99}}),
    name_of);

}  // namespace
}  // namespace fixwright::locate
