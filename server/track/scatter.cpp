#include "server/track/scatter.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/track/sight_line.hpp"

namespace fixwright::track {

namespace {

constexpr double kForgotten = 1.0 / 400.0;
constexpr std::size_t kLook = 3;  // stations
constexpr double kLeastLooks = 30.0;
/// Nats: Chernoff's bound on the chance that one emitter's looks scatter so much. It is asked after
/// every look, of every emitter, for years.
constexpr double kImprobable_nats = 25.0;
/// Below this the two would be told apart worse than one is known.
constexpr double kLeastRatio = 1.8;
/// More than this and it is a site that sees it now here, now there: a reflection, not a twin.
constexpr double kMostLeft = 1.5;

/// A station's bearings of one look.
struct Departure {
  StationId station = 0;
  double weight = 0.0;    // deg^-2
  double weighted = 0.0;  // sum of departure / variance, deg^-1
  double east = 0.0;      // deg/m
  double north = 0.0;
};

std::vector<Departure> departures(std::span<const HeardBearing> heard, const BearingSums& sums,
                                  GeoPoint place, const SiteErrors& sites) {
  std::vector<Departure> all;
  for (const HeardBearing& h : heard) {
    if (!h.likely() || h.bearing->station_moves) continue;
    const StationId station = h.bearing->key.station;
    const auto mean = sums.mean_deg(station);
    if (!mean) continue;
    auto at = std::find_if(all.begin(), all.end(),
                           [&](const Departure& d) { return d.station == station; });
    if (at == all.end()) {
      const auto view = sight_line(h.bearing->station_position, place);
      at = all.insert(all.end(), Departure{station, 0.0, 0.0, view.per_east_rad_per_m * kRadToDeg,
                                           view.per_north_rad_per_m * kRadToDeg});
    }
    const double weight = h.probability / SiteErrors::stated_variance_deg2(*h.bearing);
    at->weight += weight;
    at->weighted += weight * wrap_180(h.azimuth_deg - sites.bias_deg(*h.bearing) - *mean);
  }
  return all;
}

}  // namespace

void Scatter::add_look(std::span<const HeardBearing> heard, const BearingSums& sums, GeoPoint place,
                       const SiteErrors& sites) {
  const auto look = departures(heard, sums, place, sites);
  if (look.size() < kLook) return;
  Square information;
  double east = 0.0;
  double north = 0.0;
  double chi_square = 0.0;
  for (const Departure& d : look) {
    information.ee += d.weight * d.east * d.east;
    information.en += d.weight * d.east * d.north;
    information.nn += d.weight * d.north * d.north;
    east += d.weighted * d.east;
    north += d.weighted * d.north;
    chi_square += d.weighted * d.weighted / d.weight;
  }
  const double determinant = information.ee * information.nn - information.en * information.en;
  if (determinant <= 1e-6 * information.ee * information.nn) return;  // all in one line
  const double explained = (information.nn * east * east - 2.0 * information.en * east * north +
                            information.ee * north * north) /
                           determinant;
  const auto count = [](double& sum, double more) { sum += more - kForgotten * sum; };
  count(looks_, 1.0);
  count(east_, east);
  count(north_, north);
  count(scores_.ee, east * east);
  count(scores_.en, east * north);
  count(scores_.nn, north * north);
  count(information_.ee, information.ee);
  count(information_.en, information.en);
  count(information_.nn, information.nn);
  count(left_, chi_square - explained);
  count(freedom_, static_cast<double>(look.size()) - 2.0);
}

std::optional<Twins> Scatter::twins() const {
  if (looks_ < kLeastLooks || freedom_ <= 0.0) return std::nullopt;
  const double scale = left_ / freedom_;
  if (scale > kMostLeft) return std::nullopt;
  Eigen::Matrix2d scores;
  scores << scores_.ee - east_ * east_ / looks_, scores_.en - east_ * north_ / looks_,
      scores_.en - east_ * north_ / looks_, scores_.nn - north_ * north_ / looks_;
  Eigen::Matrix2d information;
  information << information_.ee, information_.en, information_.en, information_.nn;
  const double noise = std::max(scale, 1.0);
  const Eigen::GeneralizedSelfAdjointEigenSolver<Eigen::Matrix2d> solver(scores,
                                                                         noise * information);
  const double ratio = solver.eigenvalues()[1];
  const double improbable_nats = 0.5 * looks_ * (ratio - 1.0 - std::log(ratio));
  if (ratio < kLeastRatio || improbable_nats < kImprobable_nats) return std::nullopt;
  // The solver's vectors have v' (noise * information) v = 1: each is one look's sigma, once the
  // looks' mean information is put in the sum's place.
  const Eigen::Vector2d half =
      solver.eigenvectors().col(1) * noise * std::sqrt((ratio - 1.0) * looks_);
  return Twins{{half[0], half[1]}, looks_, ratio};
}

}  // namespace fixwright::track
