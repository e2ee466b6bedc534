#include "tests/support/scenario/gospa.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "server/geodesy/local_frame.hpp"
#include "tests/support/scenario/map.hpp"

namespace fixwright::scenario {
namespace {

GeoPoint east(double metres) { return geodesy::displace(kOsmere, {metres, 0.0}); }

// By hand, from eq. 1 with c = 2000 m, p = 2, alpha = 2: sqrt(sum d^2 + (missed + false) c^2 / 2).

TEST(Gospa, OfNothingAndNothingIsNothing) { EXPECT_EQ(gospa({}, {}).total_m, 0.0); }

TEST(Gospa, PairsAreMadeSoThatTheSumIsLeast) {
  // 0 -> 100 and 500 -> 300: 100^2 + 200^2; the other way round 300^2 + 400^2.
  EXPECT_NEAR(gospa({east(0), east(500)}, {east(300), east(100)}).total_m, std::sqrt(5e4), 1e-3);
}

TEST(Gospa, ATruthWithoutEstimateIsMissed) {
  const Gospa g = gospa({east(0), east(50'000)}, {east(300)});
  EXPECT_NEAR(g.total_m, std::sqrt(9e4 + 2e6), 1e-3);
  EXPECT_EQ(g.missed, 1);
  EXPECT_EQ(g.false_ones, 0);
}

TEST(Gospa, AnEstimateFarFromAllTruthIsFalseAndTheTruthMissed) {
  const Gospa g = gospa({east(0)}, {east(10'000)});
  EXPECT_NEAR(g.total_m, 2000.0, 1e-3);
  EXPECT_EQ(g.missed, 1);
  EXPECT_EQ(g.false_ones, 1);
}

}  // namespace
}  // namespace fixwright::scenario
