/// What the views draw.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "server/store/bearing_store.hpp"
#include "server/store/small_tables.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::ElementsAre;

class ViewsTest : public testing::Test {
 protected:
  double number(const std::string& query) { return std::stod(value(database.owner(), query)); }

  const ScratchDatabase database;
};

const std::string kEllipse = "ellipse_polygon('POINT(-150.3 41.2)'::geography, 3000, 500, 30)";

TEST_F(ViewsTest, EllipseReachesItsSemiMajorAxisAlongItsOrientation) {
  // Corner 0 is the end of the semi-major axis. Distance and azimuth are PostGIS's own
  // geodesics; 1 mm and 1e-6 deg are far above their rounding.
  const std::string corner =
      "ST_PointN(ST_ExteriorRing(ST_GeometryN(" + kEllipse + ", 1)), n)::geography";
  const std::string centre = "'POINT(-150.3 41.2)'::geography";
  const auto corners = rows(
      database.owner(), "SELECT round(ST_Distance(" + centre + ", " + corner +
                            ")::numeric, 3), round(degrees(ST_Azimuth(" + centre + ", " + corner +
                            "))::numeric, 6) FROM generate_series(1, 72) AS n "
                            "ORDER BY 1 DESC, 2");
  ASSERT_EQ(corners.size(), 72U);
  EXPECT_EQ(corners[0], "3000.000|30.000000");
  EXPECT_EQ(corners[1], "3000.000|210.000000");
  EXPECT_EQ(corners[70], "500.000|120.000000");
  EXPECT_EQ(corners[71], "500.000|300.000000");
}

TEST_F(ViewsTest, EllipseHasNearlyItsArea) {
  // A polygon of 72 corners on an ellipse has sin(2 pi / 72) / (2 pi / 72) of its area; 1e-4
  // for the curvature of the earth over 3 km, which is far less.
  const double turn = 2.0 * std::numbers::pi / 72.0;
  const double expected_m2 = std::numbers::pi * 3000.0 * 500.0 * std::sin(turn) / turn;
  EXPECT_NEAR(number("SELECT ST_Area(" + kEllipse + "::geography)"), expected_m2,
              1e-4 * expected_m2);
}

TEST_F(ViewsTest, PolygonsAreClosedValidAndCounterClockwise) {
  EXPECT_THAT(rows(database.owner(),
                   "SELECT ST_IsValid(e), ST_IsPolygonCCW(e), ST_SRID(e), "
                   "GeometryType(e) FROM (SELECT " +
                       kEllipse + " AS e) AS g"),
              ElementsAre("t|t|4326|MULTIPOLYGON"));
}

TEST_F(ViewsTest, EllipseOverTheAntimeridianIsCutInTwo) {
  const std::string over = "ellipse_polygon('POINT(179.999 41)'::geography, 1000, 400, 30)";
  const std::string here = "ellipse_polygon('POINT(-150.3 41)'::geography, 1000, 400, 30)";
  EXPECT_THAT(rows(database.owner(),
                   "SELECT ST_NumGeometries(e), ST_IsValid(e), "
                   "ST_XMin(e), ST_XMax(e) FROM (SELECT " +
                       over + " AS e) AS g"),
              ElementsAre("2|t|-180|180"));
  // The two parts together are the ellipse that the same numbers give elsewhere.
  EXPECT_NEAR(number("SELECT ST_Area(" + over + "::geography) / ST_Area(" + here + "::geography)"),
              1.0, 1e-6);
}

TEST_F(ViewsTest, BearingIsDrawnFiftyKilometresAlongItsCorrectedAzimuth) {
  store::Database pool({database.writer(), 1, std::chrono::seconds(5)});
  store::register_stations(pool, osmere_stations());
  Bearing b = plain_bearing(2, 7, 1, at("2031-05-04T12:00:00Z"));
  b.azimuth_deg = 270.0;  // MOSS-RIDGE's bias is 0.5
  Bearing moving = full_bearing(2, 7, 2, at("2031-05-04T12:00:01Z"));
  store::BearingStore(pool).append(std::vector{b, moving});
  const std::string line = "ST_GeometryN(line, 1)";
  EXPECT_THAT(rows(database.reader(),
                   "SELECT corrected_azimuth_deg, round(ST_Length(line::geography)), "
                   "round(degrees(ST_Azimuth(ST_StartPoint(" +
                       line + ")::geography, ST_EndPoint(" + line +
                       ")::geography))::numeric, 6), round(ST_X(ST_StartPoint(" + line +
                       "))::numeric, 9) FROM bearing_line ORDER BY start_at"),
              ElementsAre("269.5|50000|269.500000|-150.020000000",
                          "122.95678901234568|50000|122.956789|-150.987654321"));
}

TEST_F(ViewsTest, RegionIsTheLikelihoodContourWhereThereIsOne) {
  store::Database pool({database.writer(), 1, std::chrono::seconds(5)});
  Emitter ellipse = sample_emitter(12, 1);
  Emitter contour = sample_emitter(12, 2);
  contour.fix.region_kind = RegionKind::likelihood;
  contour.fix.region = {{41.1, -150.4}, {41.1, -150.2}, {41.3, -150.3}, {41.1, -150.4}};
  Emitter refused = sample_emitter(12, 3);
  refused.fix = refused_solution(Refusal::one_station);
  store::ResultBatch batch;
  batch.emitters = {ellipse, contour, refused};
  store::ResultWriter(pool).write(batch);
  EXPECT_THAT(rows(database.reader(),
                   "SELECT emitter_id, ST_NPoints(region) FROM emitter_region ORDER BY 1"),
              ElementsAre("1|73", "2|4"));
}

TEST_F(ViewsTest, StationStatusCountsOverStreams) {
  store::Database pool({database.writer(), 1, std::chrono::seconds(5)});
  store::register_stations(pool, osmere_stations());
  const TimePoint noon = at("2031-05-04T12:00:00Z");
  store::BearingStore(pool).append(std::vector{
      plain_bearing(1, 7, 1, noon), plain_bearing(1, 8, 1, noon), plain_bearing(1, 8, 2, noon)});
  EXPECT_THAT(rows(database.reader(),
                   "SELECT name, streams, bearings, last_bearing_at = '2031-05-04 12:00Z' "
                   "FROM station_status WHERE station_id < 3 ORDER BY station_id"),
              ElementsAre("LANTERN-HEAD|2|3|t", "MOSS-RIDGE|0|0|"));
}

}  // namespace
}  // namespace fixwright::test
