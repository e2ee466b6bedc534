#include "server/report/roads.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/geodesy/geodesic.hpp"
#include "server/report/handover_sheet.hpp"

namespace fixwright::report {
namespace {

constexpr GeoPoint kPlace{41.2, -150.3};

std::string road(GeoPoint a, GeoPoint b, const std::string& properties) {
  const auto text = [](GeoPoint p) {
    return "[" + std::to_string(p.longitude_deg) + "," + std::to_string(p.latitude_deg) + "]";
  };
  return R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":)" + properties +
         R"(,"geometry":{"type":"LineString","coordinates":[)" + text(a) + "," + text(b) + "]}}]}";
}

TEST(Roads, OnlyRoadsAreRead) {
  const GeoPoint a{41.0, -150.0};
  const auto roads = roads_in(road(a, a, R"({"kind":"road","name":"Quay Lane"})"));
  ASSERT_TRUE(roads.ok());
  ASSERT_EQ(roads->size(), 1U);
  EXPECT_EQ(roads->front().name, "Quay Lane");
  EXPECT_TRUE(roads_in(road(a, a, R"({"kind":"contour"})"))->empty());
  EXPECT_TRUE(roads_in(road(a, a, "null"))->empty());
}

TEST(Roads, WhatIsNoneIsSaid) {
  EXPECT_EQ(roads_in("not json").error(), "it is no GeoJSON FeatureCollection");
  EXPECT_EQ(roads_in(R"({"type":"FeatureCollection","features":[{"type":"Feature",)"
                     R"("properties":{"kind":"road"}}]})")
                .error(),
            "a feature of it is broken");
}

TEST(Roads, NearestIsOnTheSegmentOrAtItsEnd) {
  // A road 3 km north of the place, from 5 km west to 5 km east: its nearest point is due north.
  const GeoPoint north = geodesy::direct(kPlace, 0.0, 3000.0);
  const Road across{"",
                    {geodesy::direct(north, 270.0, 5000.0), geodesy::direct(north, 90.0, 5000.0)}};
  const auto on = nearest_road(kPlace, std::vector{across}, 10'000.0);
  ASSERT_TRUE(on);
  // A chord of 10 km lies some 2 m off the geodesic parallel: 5 m.
  EXPECT_NEAR(on->distance_m, 3000.0, 5.0);
  EXPECT_NEAR(std::min(on->azimuth_deg, 360.0 - on->azimuth_deg), 0.0, 0.2);
  EXPECT_NEAR(geodesy::distance_m(kPlace, on->position), on->distance_m, 0.5);
  // One that ends 4 km to the east.
  const Road ends{"",
                  {geodesy::direct(kPlace, 90.0, 4000.0), geodesy::direct(kPlace, 90.0, 9000.0)}};
  EXPECT_NEAR(nearest_road(kPlace, std::vector{ends}, 10'000.0)->distance_m, 4000.0, 0.5);
  EXPECT_FALSE(nearest_road(kPlace, std::vector{ends}, 3000.0));
}

TEST(GeoUri, IsThatOfTheStandard) {
  // RFC 5870, section 3.3: latitude first, `u` in metres.
  EXPECT_EQ(geo_uri(kPlace, 489.6), "geo:41.20000,-150.30000;u=490");
}

}  // namespace
}  // namespace fixwright::report
