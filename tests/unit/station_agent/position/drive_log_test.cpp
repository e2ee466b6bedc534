// Where a vehicle was, and how well that is known.
#include "station_agent/position/drive_log.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace fixwright::agent {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;

constexpr TimePoint kDay{std::chrono::sys_days{std::chrono::May / 4 / 2031}};
constexpr Duration kMorning = std::chrono::hours{10};

/// Eastward along 41 north at 10 m/s, a report a second.
NavReport driving(int second, double speed_m_per_s = 10.0) {
  NavReport r;
  r.time_of_day = kMorning + std::chrono::seconds{second};
  const double metres_in_degree = 111'195.0 * std::cos(41.0 * std::numbers::pi / 180.0);
  r.position = GeoPoint{41.0, -150.0 + second * speed_m_per_s / metres_in_degree};
  r.speed_m_per_s = speed_m_per_s;
  r.course_deg = 90.0;
  r.hdop = 1.0;
  return r;
}

TimePoint at(double second) { return kDay + kMorning + from_seconds(second); }

DriveLog driven(NavRules rules = {}, int reports = 10, double speed_m_per_s = 10.0) {
  DriveLog log(rules);
  for (int i = 0; i < reports; ++i) log.add(driving(i, speed_m_per_s), at(i + 0.1));
  return log;
}

TEST(DriveLog, BetweenReportsThePlaceIsBetweenThem) {
  const auto w = driven().at(at(3.5));
  ASSERT_TRUE(w.place.has_value());
  const double middle =
      0.5 * (driving(3).position->longitude_deg + driving(4).position->longitude_deg);
  EXPECT_NEAR(w.place->position.longitude_deg, middle, 1e-12);
  // HDOP 1 of a UERE of 5 m, on one axis, and 2.5 m/s^2 for half a second.
  EXPECT_NEAR(w.place->sigma_m, std::hypot(5.0 / std::sqrt(2.0), 0.5 * 2.5 * 0.25), 1e-9);
}

TEST(DriveLog, AfterTheLastReportItIsDeadReckonedAndLessSure) {
  const DriveLog log = driven();
  const auto w = log.at(at(10.0));
  ASSERT_TRUE(w.place.has_value());
  EXPECT_NEAR(w.place->position.longitude_deg, driving(10).position->longitude_deg, 1e-9);
  EXPECT_GT(w.place->sigma_m, log.at(at(9.0)).place->sigma_m);
  EXPECT_FALSE(log.at(at(11.1)).place.has_value()) << "2 s after the last report";
  EXPECT_FALSE(log.at(at(-2.1)).place.has_value());
}

TEST(DriveLog, TheReceiversOwnErrorGoesBeforeHdopAndHdopBeforeTheRule) {
  for (const auto& [hdop, own, sigma_m] :
       {std::tuple<std::optional<double>, std::optional<double>, double>{2.0, 1.5, 1.5},
        {2.0, {}, 10.0 / std::sqrt(2.0)},
        {{}, {}, 15.0}}) {
    DriveLog log({});
    NavReport r = driving(0);
    r.hdop = hdop;
    r.sigma_m = own;
    log.add(r, at(0));
    EXPECT_NEAR(log.at(at(0)).place->sigma_m, sigma_m, 1e-9);
  }
}

TEST(DriveLog, SentencesOfOneMomentAreOneFix) {
  DriveLog log({});
  NavReport gst;
  gst.time_of_day = kMorning;
  gst.sigma_m = 1.25;
  NavReport gga = driving(0);
  gga.speed_m_per_s.reset();
  gga.course_deg.reset();
  NavReport vtg;
  vtg.speed_m_per_s = 8.0;
  vtg.course_deg = 45.0;
  for (const NavReport& r : {gst, gga, vtg}) log.add(r, at(0.2));
  const auto w = log.at(at(0));
  EXPECT_NEAR(w.place->sigma_m, 1.25, 1e-12);
  EXPECT_EQ(w.place->speed_m_per_s, 8.0);
  EXPECT_EQ(w.heading->azimuth_deg, 45.0);
}

TEST(DriveLog, CourseIsNoHeadingBelowTheSpeedNorBesideAStop) {
  const NavRules rules{.min_course_speed_m_per_s = 2.0};
  EXPECT_TRUE(driven(rules, 10, 2.1).at(at(3.5)).heading.has_value());
  const auto slow = driven(rules, 10, 1.9).at(at(3.5));
  EXPECT_FALSE(slow.heading.has_value());
  EXPECT_TRUE(slow.place.has_value()) << "where it stands is known all the same";
  DriveLog stopping = driven(rules, 4);
  stopping.add(driving(4, 0.0), at(4.1));
  EXPECT_TRUE(stopping.at(at(2.5)).heading.has_value());
  EXPECT_FALSE(stopping.at(at(3.5)).heading.has_value());
}

TEST(DriveLog, CoursesErrorGrowsAsTheSpeedFalls) {
  const auto sigma = [](double speed) {
    return driven({}, 10, speed).at(at(3)).heading->sigma_deg;
  };
  // 3 degrees of crab, and 0.2 m/s across the way.
  EXPECT_NEAR(sigma(10.0), std::hypot(3.0, std::atan(0.02) * 180.0 / std::numbers::pi), 1e-9);
  EXPECT_NEAR(sigma(2.0), std::hypot(3.0, std::atan(0.1) * 180.0 / std::numbers::pi), 1e-9);
}

TEST(DriveLog, CompassGoesBeforeCourseAndTurnsTheShortWay) {
  DriveLog log = driven();
  for (const auto& [second, heading] : {std::pair{3.0, 350.0}, {4.0, 10.0}}) {
    NavReport r;
    r.heading_deg = heading;
    log.add(r, at(second));
  }
  const auto h = log.at(at(3.5)).heading;
  ASSERT_TRUE(h.has_value());
  EXPECT_NEAR(h->azimuth_deg, 0.0, 1e-9);
  EXPECT_NEAR(h->sigma_deg, std::hypot(2.0, 5.0 * 0.5), 1e-9);
  EXPECT_NEAR(log.at(at(9.0)).heading->azimuth_deg, 90.0, 1e-9) << "the compass is silent";
}

TEST(DriveLog, MagneticHeadingWaitsForAVariation) {
  NavReport hdg;
  hdg.magnetic_heading_deg = 355.0;
  DriveLog log({.heading = HeadingFrom::compass});
  log.add(hdg, at(0));
  EXPECT_FALSE(log.at(at(0)).heading.has_value());
  NavReport rmc = driving(0);
  rmc.variation_deg = 9.5;
  log.add(rmc, at(0.1));
  log.add(hdg, at(0.2));
  EXPECT_NEAR(log.at(at(0.2)).heading->azimuth_deg, 4.5, 1e-9);
  DriveLog configured({.heading = HeadingFrom::compass, .declination_deg = -10.0});
  configured.add(hdg, at(0));
  EXPECT_NEAR(configured.at(at(0)).heading->azimuth_deg, 345.0, 1e-9);
}

TEST(DriveLog, AFixedHeadingHoldsStandingOrNot) {
  const DriveLog log(
      {.heading = HeadingFrom::fixed, .fixed_heading_deg = 123.0, .heading_sigma_deg = 4.0});
  const auto h = log.at(at(0)).heading;
  EXPECT_EQ(h->azimuth_deg, 123.0);
  EXPECT_EQ(h->sigma_deg, 4.0);
}

TEST(DriveLog, ATimeOfDayBelongsToTheNearestDay) {
  NavReport late = driving(0);
  late.time_of_day = std::chrono::hours{24} - milliseconds{500};
  DriveLog log({});
  log.add(late, kDay + milliseconds{300});
  EXPECT_EQ(log.newest(), kDay - milliseconds{500});
  NavReport early = driving(0);
  early.time_of_day = milliseconds{100};
  DriveLog other({});
  other.add(early, kDay - milliseconds{200});
  EXPECT_EQ(other.newest(), kDay + milliseconds{100});
}

TEST(DriveLog, ARecordingBeginsWithItsFirstDate) {
  DriveLog log({});
  log.add(driving(0), std::nullopt);
  EXPECT_FALSE(log.newest().has_value());
  NavReport dated = driving(1);
  dated.date = std::chrono::sys_days{std::chrono::May / 4 / 2031};
  log.add(dated, std::nullopt);
  log.add(driving(2), std::nullopt);
  EXPECT_EQ(log.newest(), at(2));
  EXPECT_TRUE(log.at(at(1.5)).place.has_value());
}

TEST(DriveLog, TimeThatGoesBackChangesNothing) {
  DriveLog log = driven();
  NavReport old = driving(2);
  old.position = GeoPoint{0.0, 0.0};
  log.add(old, at(9.5));
  EXPECT_NEAR(log.at(at(2)).place->position.latitude_deg, 41.0, 1e-9);
}

}  // namespace
}  // namespace fixwright::agent
