#include "server/report/antimeridian.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/geodesy/ellipse.hpp"

namespace fixwright::report {
namespace {

using ::testing::IsEmpty;

/// The same ring, wherever it begins.
LonLatRing from_south_west(LonLatRing ring) {
  ring.pop_back();
  const auto first = std::min_element(ring.begin(), ring.end(), [](auto& a, auto& b) {
    return std::tie(a.longitude_deg, a.latitude_deg) < std::tie(b.longitude_deg, b.latitude_deg);
  });
  std::rotate(ring.begin(), first, ring.end());
  ring.push_back(ring.front());
  return ring;
}

void expect_closed_and_counter_clockwise(const LonLatRing& ring) {
  ASSERT_GE(ring.size(), 4U);  // RFC 7946, 3.1.6: four or more positions
  EXPECT_EQ(ring.front(), ring.back());
  EXPECT_GT(doubled_area(ring), 0.0);
  for (const LonLat& p : ring) EXPECT_LE(std::abs(p.longitude_deg), 180.0);
}

TEST(Antimeridian, TheStandardsOwnPolygonIsCutAsItShows) {
  // RFC 7946, 3.1.9: 40 to 50 N, 170 E to 170 W, cut in two.
  const std::vector<GeoPoint> ring{{40, 170}, {40, -170}, {50, -170}, {50, 170}, {40, 170}};
  const auto parts = cut_at_antimeridian(ring);
  ASSERT_EQ(parts.size(), 2U);
  EXPECT_EQ(from_south_west(parts[0]),
            (LonLatRing{{170, 40}, {180, 40}, {180, 50}, {170, 50}, {170, 40}}));
  EXPECT_EQ(from_south_west(parts[1]),
            (LonLatRing{{-180, 40}, {-170, 40}, {-170, 50}, {-180, 50}, {-180, 40}}));
}

TEST(Antimeridian, RingAwayFromItStaysWhole) {
  const std::vector<GeoPoint> ring{{0, 100}, {0, 101}, {1, 101}, {1, 100}, {0, 100}};
  const auto parts = cut_at_antimeridian(ring);
  ASSERT_EQ(parts.size(), 1U);
  // RFC 7946, appendix A.3: the example polygon.
  EXPECT_EQ(parts[0], (LonLatRing{{100, 0}, {101, 0}, {101, 1}, {100, 1}, {100, 0}}));
}

TEST(Antimeridian, ClockwiseRingIsTurned) {
  const std::vector<GeoPoint> ring{{0, 100}, {1, 100}, {1, 101}, {0, 101}, {0, 100}};
  expect_closed_and_counter_clockwise(cut_at_antimeridian(ring).at(0));
}

TEST(Antimeridian, CutKeepsTheArea) {
  const GeoPoint centre{41.0, 179.98};
  const auto ring = geodesy::ellipse_ring(centre, {20'000.0, 5'000.0, 60.0, 0.95});
  const auto parts = cut_at_antimeridian(ring);
  ASSERT_EQ(parts.size(), 2U);
  double cut = 0.0;
  for (const auto& part : parts) {
    expect_closed_and_counter_clockwise(part);
    cut += doubled_area(part);
  }
  const auto whole = geodesy::ellipse_ring({41.0, 0.0}, {20'000.0, 5'000.0, 60.0, 0.95});
  EXPECT_NEAR(cut, doubled_area(cut_at_antimeridian(whole).at(0)), 1e-9);  // rounding
}

TEST(Antimeridian, RingThatOnlyTouchesItIsOnePart) {
  const std::vector<GeoPoint> ring{{0, 170}, {0, -180}, {1, -180}, {1, 170}, {0, 170}};
  const auto parts = cut_at_antimeridian(ring);
  ASSERT_EQ(parts.size(), 1U);
  EXPECT_EQ(from_south_west(parts[0]),
            (LonLatRing{{170, 0}, {180, 0}, {180, 1}, {170, 1}, {170, 0}}));
}

TEST(Antimeridian, RingRoundAPoleReachesThePole) {
  for (const double latitude_deg : {89.9, -89.9}) {
    const auto ring = geodesy::ellipse_ring({latitude_deg, 30.0}, {50'000.0, 40'000.0, 10.0, 0.95});
    double reach_deg = 0.0;
    double width_deg = 0.0;
    for (const auto& part : cut_at_antimeridian(ring)) {
      expect_closed_and_counter_clockwise(part);
      for (const LonLat& p : part) reach_deg = std::max(reach_deg, std::abs(p.latitude_deg));
      const auto [low, high] = std::ranges::minmax(part, {}, &LonLat::longitude_deg);
      width_deg += high.longitude_deg - low.longitude_deg;
    }
    EXPECT_EQ(reach_deg, 90.0);
    EXPECT_NEAR(width_deg, 360.0, 1e-9);  // every longitude, once
  }
}

TEST(Antimeridian, FewerThanThreeVerticesAreNoRegion) {
  EXPECT_THAT(cut_at_antimeridian({}), IsEmpty());
  const std::vector<GeoPoint> line{{0, 0}, {0, 1}, {0, 0}};
  EXPECT_THAT(cut_at_antimeridian(line), IsEmpty());
  const std::vector<GeoPoint> point{{1, 1}, {1, 1}, {1, 1}, {1, 1}};
  EXPECT_THAT(cut_at_antimeridian(point), IsEmpty());
}

}  // namespace
}  // namespace fixwright::report
