#include "server/track/steady_azimuths.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <vector>

#include "server/track/lifecycle.hpp"
#include "server/track/motion_filter.hpp"
#include "tests/support/scenario/simulator.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;

constexpr double kNoGate = std::numeric_limits<double>::infinity();

Bearing at_azimuth(double azimuth_deg, double sigma_deg = 1.0, StationId station = 1) {
  Bearing b;
  b.key.station = station;
  b.azimuth_deg = azimuth_deg;
  b.sigma_deg = sigma_deg;
  return b;
}

/// The sum of what a hypothesis paid for a station's azimuths.
double paid_for(const std::vector<Bearing>& bearings, const SiteErrors& sites) {
  SteadyAzimuths steady;
  double sum = 0.0;
  for (const Bearing& b : bearings) {
    sum += steady.update(b, b.azimuth_deg, sites, kNoGate).value_or(0.0);
  }
  return sum;
}

TEST(SteadyAzimuths, AStationsFirstBearingOnlySaysWhatItSees) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  SteadyAzimuths steady;
  EXPECT_FALSE(steady.update(at_azimuth(30.0), 30.0, sites, 3.0));
  EXPECT_FALSE(steady.update(at_azimuth(200.0, 1.0, 2), 200.0, sites, 3.0));
  EXPECT_TRUE(steady.update(at_azimuth(30.0), 30.0, sites, 3.0));
}

/// The whole of a station's bearings at once: a constant wholly unknown, integrated out, leaves
///     sum (z - mean)^2 / s^2 + sum ln s^2 + ln sum 1 / s^2
/// of -2 ln of the density, up to the constant that surprise() leaves out.
TEST(SteadyAzimuths, PaysWhatAConstantFittedToAllBearingsAtOnceWouldPay) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  scenario::Dice dice(4);
  std::vector<Bearing> bearings;
  double weight = 0.0;
  double weighted = 0.0;
  double log_variances = 0.0;
  for (int i = 0; i < 50; ++i) {
    const double sigma = 0.5 + dice.uniform();
    bearings.push_back(at_azimuth(120.0 + sigma * dice.normal(), sigma));
    weight += 1.0 / (sigma * sigma);
    weighted += bearings.back().azimuth_deg / (sigma * sigma);
    log_variances += std::log(sigma * sigma);
  }
  const double mean = weighted / weight;
  double expected = log_variances + std::log(weight);
  for (const Bearing& b : bearings) expected += std::pow((b.azimuth_deg - mean) / b.sigma_deg, 2);
  EXPECT_NEAR(paid_for(bearings, sites), expected, 1e-9);  // the same sum in another order
}

TEST(SteadyAzimuths, AConstantOffsetOfAStationCostsNothing) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  scenario::Dice dice(5);
  std::vector<Bearing> plain;
  std::vector<Bearing> off;
  for (int i = 0; i < 100; ++i) {
    const double noise = dice.normal();
    plain.push_back(at_azimuth(100.0 + noise));
    off.push_back(at_azimuth(137.0 + noise));
  }
  EXPECT_NEAR(paid_for(plain, sites), paid_for(off, sites), 1e-9);  // 37 deg leave rounding only
}

/// d a bearing: the mean of the first n lies d (n + 1) / 2 behind the next; its variance is
/// s^2 (1 + 1/n).
TEST(SteadyAzimuths, ADriftCostsTheSquareOfItsLag) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  SteadyAzimuths steady;
  const double drift_deg = 0.3;
  steady.update(at_azimuth(10.0), 10.0, sites, kNoGate);
  for (int n = 1; n <= 40; ++n) {
    const Bearing b = at_azimuth(10.0 + drift_deg * n);
    const double expected = surprise(0.5 * drift_deg * (n + 1), 1.0 + 1.0 / n);
    EXPECT_NEAR(steady.update(b, b.azimuth_deg, sites, kNoGate).value(), expected, 1e-9) << n;
  }
}

TEST(SteadyAzimuths, NorthIsNoStep) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  const auto paid = [&](double turn) {
    std::vector<Bearing> all;
    for (const double a : {-1.0, 1.5, 0.2, -0.7}) all.push_back(at_azimuth(wrap_360(turn + a)));
    return paid_for(all, sites);
  };
  EXPECT_NEAR(paid(0.0), paid(90.0), 1e-9);
}

TEST(SteadyAzimuths, AMovingStationAbstainsAndTakesNoPlace) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  SteadyAzimuths steady;
  for (StationId id = 100; id < 120; ++id) {
    Bearing b = at_azimuth(50.0, 1.0, id);
    b.station_moves = true;
    EXPECT_FALSE(steady.update(b, 50.0, sites, 3.0));
    EXPECT_FALSE(steady.update(b, 50.0, sites, 3.0)) << "nor later";
  }
  EXPECT_FALSE(steady.update(at_azimuth(50.0), 50.0, sites, 3.0));
  EXPECT_TRUE(steady.update(at_azimuth(50.0), 50.0, sites, 3.0)) << "a fixed one still counts";
}

TEST(SteadyAzimuths, StationsBeyondTheStatesSitesAbstain) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  SteadyAzimuths steady;
  const auto last = static_cast<StationId>(MotionState::kMaxSites);
  for (StationId id = 1; id <= last + 1; ++id) {
    steady.update(at_azimuth(50.0, 1.0, id), 50.0, sites, 3.0);
  }
  EXPECT_TRUE(steady.update(at_azimuth(50.0, 1.0, last), 50.0, sites, 3.0));
  EXPECT_FALSE(steady.update(at_azimuth(50.0, 1.0, last + 1), 50.0, sites, 3.0));
}

TEST(SteadyAzimuths, AGrossBearingPaysTheGateAndChangesNothing) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  SteadyAzimuths steady;
  for (int i = 0; i < 3; ++i) steady.update(at_azimuth(50.0), 50.0, sites, 3.0);
  SteadyAzimuths spared = steady;
  const double variance = 1.0 + 1.0 / 3.0;
  EXPECT_NEAR(steady.update(at_azimuth(170.0), 170.0, sites, 3.0).value(), 9.0 + std::log(variance),
              1e-12);
  EXPECT_EQ(steady.update(at_azimuth(51.0), 51.0, sites, 3.0),
            spared.update(at_azimuth(51.0), 51.0, sites, 3.0));
}

/// Ingest admits any sigma over 0: one of 1e-9 deg is lost beside the site's share, and a
/// variance of nothing is 0 / 0 and a track judged by NaN.
TEST(SteadyAzimuths, ASigmaOfNextToNothingLeavesEveryFigureFinite) {
  const auto stations = four_stations();
  const SiteErrors sites(stations, 1.0);
  for (const double sigma : {1e-3, 1e-9, 1e-300}) {
    EmitterRecord e = still_emitter(kPlace, 300.0);
    Changes changes;
    for (int t = 0; t < 20; ++t) {
      for (const auto& [id, s] : stations) {
        const Bearing b = bearing_to(s, kPlace, t, 0.1 * t, sigma);
        const HeardBearing heard{&b, b.azimuth_deg};
        hear(e, {&heard, 1}, sites, {}, changes);
      }
    }
    EXPECT_TRUE(std::isfinite(e.moving_log_ratio)) << sigma;
    EXPECT_TRUE(std::isfinite(e.moving_over_steady_log)) << sigma;
    EXPECT_TRUE(std::isfinite(e.moving.position().latitude_deg)) << sigma;
    EXPECT_GE(e.moving.covariance().ee_m2, 0.0) << sigma;
    for (const PooledBearing& p : e.sums.pooled(sites)) {
      EXPECT_TRUE(std::isfinite(p.azimuth_deg)) << sigma;
      EXPECT_NEAR(p.sigma_deg, 1.0, 1e-6) << sigma << ": the site's error is all that is left";
    }
  }
}

}  // namespace
}  // namespace fixwright::track
