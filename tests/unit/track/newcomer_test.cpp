#include "server/track/newcomer.hpp"

#include <gtest/gtest.h>

#include <vector>

namespace fixwright::track {
namespace {

std::vector<NewcomersBearing> fitting(std::size_t count, double residual_deg) {
  return std::vector<NewcomersBearing>(count, {residual_deg, 1.0});
}

constexpr EnCovariance kHalfAKilometre{250'000.0, 0.0, 250'000.0};

TEST(Newcomer, ThreeBearingsThatAgreeAreSomebodyOneIsNot) {
  EXPECT_GT(newcomers_log_likelihood(fitting(3, 0.5), kHalfAKilometre), 0.0);
  EXPECT_LT(newcomers_log_likelihood(fitting(1, 0.0), kHalfAKilometre), 0.0);
}

TEST(Newcomer, ABearingFitsAsTheNormalDensityHasIt) {
  // Each bearing two sigmas off costs 2 nats: half of the square.
  EXPECT_NEAR(newcomers_log_likelihood(fitting(3, 0.0), kHalfAKilometre) -
                  newcomers_log_likelihood(fitting(3, 2.0), kHalfAKilometre),
              6.0, 1e-9);
}

TEST(Newcomer, ASharperPlaceIsTheGreaterCoincidence) {
  const EnCovariance tenth{2500.0, 0.0, 2500.0};
  // A hundredth of the area: ln 100.
  EXPECT_NEAR(newcomers_log_likelihood(fitting(3, 0.0), kHalfAKilometre) -
                  newcomers_log_likelihood(fitting(3, 0.0), tenth),
              4.60517, 1e-4);
}

TEST(Newcomer, APlaceHardlyKnownGainsNothingByIt) {
  const EnCovariance anywhere{1e14, 0.0, 1e14};
  const EnCovariance wider{1e16, 0.0, 1e16};
  EXPECT_EQ(newcomers_log_likelihood(fitting(3, 0.0), anywhere),
            newcomers_log_likelihood(fitting(3, 0.0), wider));
}

}  // namespace
}  // namespace fixwright::track
