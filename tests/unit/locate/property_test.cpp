/// Whatever finite input: an answer, no NaN, a reason for every refusal, the same for every order.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "server/geodesy/ellipse.hpp"
#include "server/locate/locate_transmission.hpp"
#include "tests/unit/locate/world.hpp"

namespace fixwright::locate {
namespace {

bool finite(GeoPoint p) {
  return std::abs(p.latitude_deg) <= 90.0 && p.longitude_deg >= -180.0 && p.longitude_deg < 180.0;
}

void expect_sound(const CrossFix& fix, std::size_t bearings) {
  ASSERT_EQ(fix.verdicts.size(), bearings);
  for (const PooledVerdict& v : fix.verdicts) {
    EXPECT_TRUE(v.residual_deg >= -180.0 && v.residual_deg < 180.0) << v.residual_deg;
    EXPECT_TRUE(v.weight >= 0.0 && v.weight <= 1.0) << v.weight;
  }
  EXPECT_TRUE(std::isfinite(fix.chi_square) && fix.chi_square >= 0.0);
  EXPECT_TRUE(fix.p_value >= 0.0 && fix.p_value <= 1.0);
  EXPECT_TRUE(fix.crossing_deg >= 0.0 && fix.crossing_deg <= 90.0);
  EXPECT_TRUE(finite(fix.position));
  for (const GeoPoint p : fix.region) {
    EXPECT_TRUE(finite(p));
  }
  if (fix.accepted()) {
    EXPECT_TRUE(geodesy::is_positive_definite(fix.covariance));
    EXPECT_GE(fix.ellipse.semi_major_m, fix.ellipse.semi_minor_m);
    EXPECT_GT(fix.ellipse.semi_minor_m, 0.0);
    EXPECT_TRUE(fix.ellipse.orientation_deg >= 0.0 && fix.ellipse.orientation_deg < 180.0);
    const auto used = std::count_if(fix.verdicts.begin(), fix.verdicts.end(),
                                    [](const PooledVerdict& v) { return v.used; });
    EXPECT_GE(used, 2);
  }
}

/// Values that break solvers, mixed with ordinary ones.
class Adversary {
 public:
  explicit Adversary(std::uint64_t seed) : random_(seed) {}

  std::vector<PooledBearing> draw() {
    const GeoPoint centre = {pick({90.0, -90.0, 0.0, 41.2, 89.9999, -60.0}),
                             pick({-180.0, 179.9999, 0.0, -150.3})};
    const double spread_m = pick({0.0, 1e-3, 10.0, 1e4, 1e6, 1.2e7});
    const auto count = static_cast<int>(pick({1.0, 2.0, 3.0, 4.0, 6.0, 12.0, 30.0}));
    const double common_deg = 360.0 * share();
    std::vector<PooledBearing> bearings;
    for (int i = 0; i < count; ++i) {
      PooledBearing b;
      b.station = i + 1;
      b.station_position = geodesy::direct(centre, angle(common_deg), spread_m * share());
      b.azimuth_deg = angle(common_deg);
      b.sigma_deg = pick({1e-12, 1e-3, 1.0, 5.0, 45.0, 90.0, 1e6});
      for (int k = static_cast<int>(pick({0.0, 0.0, 1.0, 8.0})); k > 0; --k) {
        b.alternatives.push_back({angle(common_deg), pick({1e-300, 0.5, 1.0})});
      }
      bearings.push_back(b);
    }
    return bearings;
  }

  LocateRules rules() {
    LocateRules r;
    r.min_crossing_deg = pick({1.0, 5.0, 45.0});
    r.max_range_m = pick({1e3, 1e5, 1e6, 1.9e7});
    r.gross_error_share = pick({0.001, 0.05, 0.5});
    r.accept_open_region = share() < 0.5;
    return r;
  }

  std::mt19937_64& random() { return random_; }

 private:
  double share() { return std::uniform_real_distribution<double>(0.0, 1.0)(random_); }
  double pick(std::initializer_list<double> values) {
    const auto i = std::uniform_int_distribution<std::size_t>(0, values.size() - 1)(random_);
    return *(values.begin() + static_cast<std::ptrdiff_t>(i));
  }
  /// Often exactly the same, opposite, or square to it.
  double angle(double common_deg) {
    return wrap_360(common_deg + pick({0.0, 180.0, 90.0, 1e-9, 360.0 * share(), 360.0 * share()}));
  }

  std::mt19937_64 random_;
};

TEST(CrossFixProperty, AnyFiniteInputHasASoundAnswerInAnyOrder) {
  Adversary adversary(17);
  int accepted = 0;
  for (int i = 0; i < 800 && !::testing::Test::HasFatalFailure(); ++i) {
    auto bearings = adversary.draw();
    const LocateRules rules = adversary.rules();
    const CrossFix fix = cross_fix(bearings, rules);
    expect_sound(fix, bearings.size());
    accepted += fix.accepted() ? 1 : 0;
    std::shuffle(bearings.begin(), bearings.end(), adversary.random());
    const CrossFix again = cross_fix(bearings, rules);
    EXPECT_EQ(fix.refusal, again.refusal) << "case " << i;
    EXPECT_EQ(fix.position, again.position) << "case " << i;
    if (::testing::Test::HasFailure()) {
      FAIL() << "case " << i;
    }
  }
  EXPECT_GT(accepted, 25);  // the generator also makes cases that can be answered
}

TEST(LocateTransmissionProperty, AnyAdmittedBearingsHaveASoundAnswer) {
  Adversary adversary(18);
  for (int i = 0; i < 200 && !::testing::Test::HasFatalFailure(); ++i) {
    std::vector<Bearing> bearings;
    for (int k = 0; k < 3; ++k) {
      for (const PooledBearing& p : adversary.draw()) {
        Bearing b;
        b.key = {p.station % 7 + 1, 1, bearings.size() + 1};
        b.start = TimePoint{from_seconds(0.5 * k)};
        b.station_position = p.station_position;
        b.azimuth_deg = p.azimuth_deg;
        b.sigma_deg = std::clamp(p.sigma_deg, 1e-9, 90.0);
        bearings.push_back(b);
      }
    }
    const auto groups = locate_transmission(bearings, {}, adversary.rules());
    ASSERT_FALSE(groups.empty());
    for (const GroupFix& group : groups) {
      expect_sound(group.fix, group.pooled.size());
      ASSERT_EQ(group.pooled_of.size(), bearings.size());
      for (const int p : group.pooled_of) {
        EXPECT_TRUE(p >= -1 && p < static_cast<int>(group.pooled.size()));
      }
    }
    EXPECT_TRUE(groups.size() == 1 || std::all_of(groups.begin(), groups.end(),
                                                  [](auto& g) { return g.fix.accepted(); }));
    if (::testing::Test::HasFailure()) {
      FAIL() << "case " << i;
    }
  }
}

}  // namespace
}  // namespace fixwright::locate
