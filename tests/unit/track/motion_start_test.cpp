#include "server/track/motion_start.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <span>
#include <vector>

#include "server/geodesy/local_frame.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;

constexpr MotionFilter::Motion kDriving{20.0, 0.1};

/// A drive along a geodesic that ends at kPlace, east_m_per_s and north_m_per_s there.
struct Drive {
  double east_m_per_s = 0.0;
  double north_m_per_s = 0.0;
  double seconds = 60.0;

  [[nodiscard]] GeoPoint at(double t) const {
    const double ago = seconds - t;
    return geodesy::displace(kPlace, {-east_m_per_s * ago, -north_m_per_s * ago});
  }
};

/// Exact bearings, one a second, of the stations in turn.
std::vector<Bearing> bearings_of(const Drive& drive, const Stations& stations,
                                 const std::vector<StationId>& turn, double sigma_deg = 1.0) {
  std::vector<Bearing> all;
  for (int t = 0; t <= static_cast<int>(drive.seconds); ++t) {
    const StationId id = turn[static_cast<std::size_t>(t) % turn.size()];
    all.push_back(bearing_to(stations.at(id), drive.at(t), t, 0.0, sigma_deg));
  }
  return all;
}

std::vector<HeardBearing> heard_of(const std::vector<Bearing>& bearings) {
  std::vector<HeardBearing> heard;
  for (const Bearing& b : bearings) heard.push_back({&b, b.azimuth_deg});
  return heard;
}

/// Where a wholly known measurement would put the estimate of an exact track: the prior pulls the
/// velocity to zero, x - truth = -P L v with L the prior's information and P what the start states.
Eigen::Vector4d pull_of_the_prior(const MotionFilter& f, const Drive& drive) {
  Eigen::Vector4d pull;
  for (std::size_t i = 0; i < 4; ++i) {
    const double both =
        f.state().p(i, 2) * drive.east_m_per_s + f.state().p(i, 3) * drive.north_m_per_s;
    pull[static_cast<Eigen::Index>(i)] =
        -both / (kDriving.speed_sigma_m_per_s * kDriving.speed_sigma_m_per_s);
  }
  return pull;
}

void expect_found(const MotionFilter& f, const Drive& drive) {
  const auto [east, north] = geodesy::offset(kPlace, f.position());
  const Eigen::Vector4d pull = pull_of_the_prior(f, drive);
  // Linear but for the squares: (pull / range)^2 of the range, and a tenth of the pull for P at
  // the estimate in place of the truth.
  const double room_m = 1.0 + 0.1 * std::hypot(pull[0], pull[1]);
  EXPECT_NEAR(east, pull[0], room_m);
  EXPECT_NEAR(north, pull[1], room_m);
  const auto [ve, vn] = f.state().speed_m_per_s;
  const double room_m_per_s = 0.02 + 0.1 * std::hypot(pull[2], pull[3]);
  EXPECT_NEAR(ve - drive.east_m_per_s, pull[2], room_m_per_s);
  EXPECT_NEAR(vn - drive.north_m_per_s, pull[3], room_m_per_s);
}

TEST(MotionStart, FindsAnExactTrackButForThePullOfWhatWasBelievedOfSpeeds) {
  const auto stations = four_stations(0.5);
  const SiteErrors sites(stations, 1.0);
  for (const Drive& drive : {Drive{12.0, 0.0}, Drive{-8.0, 15.0}, Drive{0.0, 0.0}}) {
    const auto bearings = bearings_of(drive, stations, {1, 2, 3, 4});
    const auto f = start_motion(heard_of(bearings), sites, kDriving);
    ASSERT_TRUE(f);
    EXPECT_EQ(f->at(), bearings.back().middle());
    expect_found(*f, drive);
  }
}

/// With bearings of a thousandth of a degree and no wander the prior weighs nothing: a tenth of a
/// metre is where the iteration says it has settled, 20 km * 0.001 deg is 0.35 m.
TEST(MotionStart, SharpBearingsFindTheTrackToTheIterationsStep) {
  const auto stations = four_stations(0.0);
  const SiteErrors sites(stations, 0.0);
  const Drive drive{12.0, -9.0};
  const auto bearings = bearings_of(drive, stations, {1, 2, 3, 4}, 0.001);
  const auto f = start_motion(heard_of(bearings), sites, {20.0, 0.0});
  ASSERT_TRUE(f);
  EXPECT_LT(geodesy::distance_m(f->position(), kPlace), 0.1);
  EXPECT_NEAR(f->velocity().speed_m_per_s, 15.0, 0.01);
  EXPECT_LT(f->position_sigma_m(), 0.35);
}

/// The same information summed here with exact geodesics and differences of them.
TEST(MotionStart, StatesTheInverseOfTheInformationOfItsBearings) {
  const auto stations = four_stations(0.0);
  const SiteErrors sites(stations, 0.0);
  const Drive drive{0.0, 0.0};
  const auto bearings = bearings_of(drive, stations, {1, 2, 3, 4});
  const auto f = start_motion(heard_of(bearings), sites, {20.0, 0.0});
  ASSERT_TRUE(f);
  Eigen::Matrix4d information = Eigen::Matrix4d::Zero();
  information(2, 2) = information(3, 3) = 1.0 / 400.0;
  for (const Bearing& b : bearings) {
    const auto slope = [&](double e, double n) {
      const auto azimuth = [&](double sign) {
        const GeoPoint p = geodesy::displace(kPlace, {sign * e, sign * n});
        return geodesy::inverse(b.station_position, p).azimuth1_deg;
      };
      return wrap_180(azimuth(10.0) - azimuth(-10.0)) / 20.0;
    };
    const double ago = 60.0 - seconds(b.middle() - kNoon);
    const double e = slope(1.0, 0.0);
    const double n = slope(0.0, 1.0);
    const Eigen::Vector4d h(e, n, -e * ago, -n * ago);
    information += h * h.transpose();
  }
  const Eigen::Matrix4d p = information.inverse();
  for (int i = 0; i < 4; ++i) {
    const auto at = static_cast<std::size_t>(i);
    EXPECT_NEAR(f->state().p(at, at) / p(i, i), 1.0, 3e-3) << i;  // the fast rates are good to 1e-3
  }
}

TEST(MotionStart, OfNothingHeardThereIsNone) {
  const auto stations = four_stations();
  EXPECT_FALSE(start_motion({}, SiteErrors(stations, 1.0), kDriving));
  EXPECT_FALSE(start_motion({}, SiteErrors(stations, 1.0), kDriving, kPlace));
}

TEST(MotionStart, OneStationSaysNoPlaceHoweverLongItListens) {
  const auto stations = four_stations(0.5);
  const SiteErrors sites(stations, 1.0);
  for (const Drive& drive : {Drive{0.0, 0.0}, Drive{18.0, 0.0}, Drive{0.0, 18.0, 300.0}}) {
    const auto bearings = bearings_of(drive, stations, {1}, 0.2);
    EXPECT_FALSE(start_motion(heard_of(bearings), sites, kDriving)) << drive.east_m_per_s;
    // Even told where it is, or put upon the station itself.
    EXPECT_FALSE(start_motion(heard_of(bearings), sites, kDriving, kPlace)) << drive.east_m_per_s;
    EXPECT_FALSE(
        start_motion(heard_of(bearings), sites, kDriving, bearings.front().station_position));
  }
}

/// Two bearings 30 s apart: a vehicle of unknown speed (20 m/s a sigma) may have gone 600 m, two
/// lines of 1 deg leave 350 m each; four unknowns and the prior. Close in it is no place yet.
TEST(MotionStart, TooFewBearingsAreNoStartAndMoreAre) {
  Stations stations = four_stations(0.5);
  for (auto& [id, s] : stations) s.position = geodesy::direct(kPlace, 90.0 * (id - 1), 2000.0);
  const SiteErrors sites(stations, 1.0);
  std::vector<Bearing> bearings;
  for (int i = 0; i < 8; ++i) {
    bearings.push_back(
        bearing_to(stations.at(static_cast<StationId>(1 + i % 2)), kPlace, 30.0 * i));
  }
  const auto heard = heard_of(bearings);
  const auto start = [&](std::size_t count) {
    return start_motion(std::span(heard).first(count), sites, kDriving);
  };
  EXPECT_FALSE(start(1));
  EXPECT_FALSE(start(2));
  EXPECT_TRUE(start(8));
}

TEST(MotionStart, ParallelBearingsCrossNowhere) {
  Stations stations = four_stations(0.5);
  stations[2].position = geodesy::displace(stations[1].position, {3000.0, 0.0});
  const SiteErrors sites(stations, 1.0);
  std::vector<Bearing> bearings;
  for (int t = 0; t < 40; ++t) {
    bearings.push_back(bearing_to(stations.at(static_cast<StationId>(1 + t % 2)), kPlace, t));
    bearings.back().azimuth_deg = 180.0;
  }
  EXPECT_FALSE(start_motion(heard_of(bearings), sites, kDriving));
  EXPECT_FALSE(start_motion(heard_of(bearings), sites, kDriving, kPlace));
}

TEST(MotionStart, OnTheBaselineOfTwoStationsThereIsNoPlace) {
  const auto stations = four_stations(0.5);
  const SiteErrors sites(stations, 1.0);
  const auto bearings = bearings_of(Drive{}, stations, {1, 3});  // north and south of it
  EXPECT_FALSE(start_motion(heard_of(bearings), sites, kDriving));
  EXPECT_FALSE(start_motion(heard_of(bearings), sites, kDriving, kPlace));
  const auto third = bearings_of(Drive{}, stations, {1, 3, 2});
  EXPECT_TRUE(start_motion(heard_of(third), sites, kDriving)) << "a third one from the side";
}

TEST(MotionStart, WithoutSpeedItIsAPlaceAndStaysOne) {
  const auto stations = four_stations(0.0);
  const SiteErrors sites(stations, 0.0);
  const auto bearings = bearings_of(Drive{}, stations, {1, 2, 3, 4});
  const auto f = start_motion(heard_of(bearings), sites, {});
  ASSERT_TRUE(f);
  EXPECT_LT(geodesy::distance_m(f->position(), kPlace), 0.1);
  EXPECT_EQ(f->speed_chi_square(), 0.0);
  MotionFilter later = *f;
  later.advance(kNoon + std::chrono::hours{1});
  EXPECT_EQ(later.covariance(), f->covariance());
}

TEST(MotionStart, AMovingStationsPlaceErrorWidensWhatItSays) {
  const auto stations = four_stations(0.0);
  const SiteErrors sites(stations, 0.0);
  auto bearings = bearings_of(Drive{}, stations, {1, 2, 3, 4});
  const auto sharp = start_motion(heard_of(bearings), sites, {});
  for (Bearing& b : bearings) {
    b.station_moves = true;
    b.station_sigma_m = 20'000.0 * kDegToRad;  // one degree, as much as the bearing's own
  }
  const auto blurred = start_motion(heard_of(bearings), sites, {});
  ASSERT_TRUE(sharp && blurred);
  EXPECT_NEAR(blurred->position_sigma_m() / sharp->position_sigma_m(), std::sqrt(2.0), 1e-3);
}

}  // namespace
}  // namespace fixwright::track
