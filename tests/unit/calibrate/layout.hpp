#pragma once
/// Stations and still emitters in a square of 60 km, their biases and what they report.

#include <Eigen/Dense>
#include <random>
#include <vector>

#include "server/base/angle.hpp"
#include "server/calibrate/joint_bias.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"

namespace fixwright::calibrate::testing {

inline constexpr GeoPoint kOsmere{41.20, -150.30};

struct Layout {
  std::vector<GeoPoint> stations;
  std::vector<GeoPoint> emitters;
  double sigma_deg = 0.3;       // of a station's mean
  double bias_sigma_deg = 3.0;  // what biases are drawn from
};

inline GeoPoint at_km(double east_km, double north_km) {
  return geodesy::displace(kOsmere, {east_km * 1e3, north_km * 1e3});
}

/// Nothing nearer to anything else than 4 km.
inline Layout random_layout(std::mt19937_64& random, std::size_t stations, std::size_t emitters) {
  std::uniform_real_distribution<double> km{-30.0, 30.0};
  std::vector<GeoPoint> places;
  while (places.size() < stations + emitters) {
    const double east_km = km(random);
    const GeoPoint p = at_km(east_km, km(random));
    const bool clear =
        std::ranges::all_of(places, [&](GeoPoint q) { return geodesy::distance_m(p, q) > 4000.0; });
    if (clear) places.push_back(p);
  }
  const auto middle = places.begin() + static_cast<std::ptrdiff_t>(stations);
  return {{places.begin(), middle}, {middle, places.end()}};
}

struct Draw {
  std::vector<double> bias_deg;
  std::vector<JointObservation> observations;
  std::vector<JointEmitter> emitters;  // starting 2 km off, as biased fixes are
};

inline Draw draw(std::mt19937_64& random, const Layout& layout) {
  std::normal_distribution<double> normal;
  Draw d;
  for (std::size_t s = 0; s < layout.stations.size(); ++s) {
    d.bias_deg.push_back(layout.bias_sigma_deg * normal(random));
  }
  for (std::size_t e = 0; e < layout.emitters.size(); ++e) {
    const double east_m = 1400.0 * normal(random);
    d.emitters.push_back(
        {geodesy::displace(layout.emitters[e], {east_m, 1400.0 * normal(random)}), {}});
    for (std::size_t s = 0; s < layout.stations.size(); ++s) {
      const double truth = geodesy::inverse(layout.stations[s], layout.emitters[e]).azimuth1_deg;
      JointObservation o;
      o.emitter = e;
      o.station = static_cast<StationId>(s + 1);
      o.station_position = layout.stations[s];
      o.azimuth_deg = wrap_360(truth + d.bias_deg[s] + layout.sigma_deg * normal(random));
      o.sigma_deg = layout.sigma_deg;
      o.bearings = 100;
      d.observations.push_back(o);
    }
  }
  return d;
}

/// Bayesian Cramer-Rao bound of the biases: covariance, deg^2. Independent of the code under
/// test: one dense matrix over all unknowns, derivatives by central differences.
/// (H. L. Van Trees, Detection, Estimation, and Modulation Theory, part I, 2.4.)
inline Eigen::MatrixXd bias_bound(const Layout& layout, std::size_t known_emitters = 0) {
  const auto stations = static_cast<Eigen::Index>(layout.stations.size());
  const auto emitters = static_cast<Eigen::Index>(layout.emitters.size());
  Eigen::MatrixXd information =
      Eigen::MatrixXd::Zero(stations + 2 * emitters, stations + 2 * emitters);
  for (Eigen::Index s = 0; s < stations; ++s) {
    information(s, s) += 1.0 / (layout.bias_sigma_deg * layout.bias_sigma_deg);
    const GeoPoint station = layout.stations[static_cast<std::size_t>(s)];
    for (Eigen::Index e = 0; e < emitters; ++e) {
      const GeoPoint place = layout.emitters[static_cast<std::size_t>(e)];
      const auto azimuth = [&](double east_m, double north_m) {
        return geodesy::inverse(station, geodesy::displace(place, {east_m, north_m})).azimuth1_deg;
      };
      Eigen::VectorXd row = Eigen::VectorXd::Zero(stations + 2 * emitters);
      row[s] = 1.0;
      row[stations + 2 * e] = wrap_180(azimuth(10, 0) - azimuth(-10, 0)) / 20.0;
      row[stations + 2 * e + 1] = wrap_180(azimuth(0, 10) - azimuth(0, -10)) / 20.0;
      information += row * row.transpose() / (layout.sigma_deg * layout.sigma_deg);
    }
  }
  for (Eigen::Index e = 0; e < static_cast<Eigen::Index>(known_emitters); ++e) {
    information(stations + 2 * e, stations + 2 * e) += 1.0;  // to 1 m
    information(stations + 2 * e + 1, stations + 2 * e + 1) += 1.0;
  }
  return information.inverse().topLeftCorner(stations, stations);
}

}  // namespace fixwright::calibrate::testing
