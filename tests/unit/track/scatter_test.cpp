#include "server/track/scatter.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <deque>

#include "server/geodesy/local_frame.hpp"
#include "tests/support/scenario/simulator.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;

/// Four stations at 20 km, a degree of noise: a look tells the place to 247 m each way.
class Looks {
 public:
  explicit Looks(std::uint64_t seed) : dice_(seed) {}

  void add(GeoPoint place, double extra_at_1_deg = 0.0) {
    std::deque<Bearing> bearings;
    std::vector<HeardBearing> heard;
    for (const auto& [id, s] : stations_) {
      const double extra = id == 1 ? extra_at_1_deg * dice_.normal() : 0.0;
      bearings.push_back(bearing_to(s, place, 0.0, dice_.normal() + extra));
      heard.push_back({&bearings.back(), bearings.back().azimuth_deg, 1.0});
      sums_.add(bearings.back(), bearings.back().azimuth_deg, sites_);
    }
    scatter_.add_look(heard, sums_, kPlace, sites_);
  }

  [[nodiscard]] std::optional<Twins> twins() const { return scatter_.twins(); }

 private:
  scenario::Dice dice_;
  Stations stations_ = four_stations(0.0);
  SiteErrors sites_{stations_, 1.0};
  BearingSums sums_;
  Scatter scatter_;
};

TEST(Scatter, TwoThatSpeakInTurnAreFoundWhereTheyAre) {
  Looks looks(1);
  for (int i = 0; i < 200; ++i) {
    looks.add(geodesy::displace(kPlace, {0.0, i % 2 == 0 ? 500.0 : -500.0}));
  }
  const auto twins = looks.twins();
  ASSERT_TRUE(twins);
  // 1 + (500 / 247)^2 = 5.1. Its spread is sqrt(2 / 160 looks remembered): a tenth; the half
  // separation's 6 %.
  EXPECT_NEAR(twins->ratio, 5.1, 1.5);
  EXPECT_NEAR(std::abs(twins->half.north_m), 500.0, 90.0);
  EXPECT_NEAR(twins->half.east_m, 0.0, 90.0);
}

TEST(Scatter, OneAloneIsOneHoweverMuchASiteErrs) {
  for (std::uint64_t seed = 1; seed <= 50; ++seed) {
    SCOPED_TRACE(seed);
    Looks looks(seed);
    for (int i = 0; i < 200; ++i) {
      looks.add(kPlace, seed % 2 == 0 ? 0.0 : 1.5);
      ASSERT_FALSE(looks.twins()) << i;
    }
  }
}

TEST(Scatter, AReflectionThatComesAndGoesIsNoTwin) {
  Looks looks(1);
  for (int i = 0; i < 300; ++i) {
    looks.add(kPlace, 4.0);
    ASSERT_FALSE(looks.twins()) << i;
  }
}

TEST(Scatter, FewLooksSayNothing) {
  Looks looks(1);
  for (int i = 0; i < 29; ++i) {
    looks.add(geodesy::displace(kPlace, {0.0, i % 2 == 0 ? 1000.0 : -1000.0}));
    EXPECT_FALSE(looks.twins());
  }
}

}  // namespace
}  // namespace fixwright::track
