#include "server/locate/accuracy.hpp"

#include <cmath>
#include <limits>

#include "server/base/angle.hpp"
#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/fast_azimuth.hpp"

namespace fixwright::locate {

namespace {

constexpr double kKnownBefore_m = 50'000.0;
/// det / trace^2 of two equal bearings that cross at a quarter of a degree: sin^2 / 4.
constexpr double kLeastRatio = 4.8e-6;

/// Symmetric 2 x 2, 1/m^2.
struct Information {
  double ee = 0.0, en = 0.0, nn = 0.0;

  void add(const Information& o) {
    ee += o.ee;
    en += o.en;
    nn += o.nn;
  }
  [[nodiscard]] double determinant() const { return ee * nn - en * en; }
};

bool hears(const Receiver& r, double range_m, const AccuracyRules& rules) {
  if (range_m > rules.range_m) return false;
  return !rules.transmitter_height_m ||
         range_m <= radio_horizon_m(r.antenna_height_m, *rules.transmitter_height_m);
}

/// Of one bearing about a place; nothing when the place is not heard.
std::optional<Information> information(GeoPoint place, const Receiver& r,
                                       const AccuracyRules& rules) {
  const auto view = geodesy::exact_azimuth(r.position, place);
  if (view.range_m < 1.0 || !hears(r, view.range_m, rules)) return std::nullopt;
  const double weight = 1.0 / std::pow(r.sigma_deg * kDegToRad, 2);
  const double e = view.per_east_rad_per_m;
  const double n = view.per_north_rad_per_m;
  return Information{weight * e * e, weight * e * n, weight * n * n};
}

struct Heard {
  Information sum;
  int stations = 0;
};

Heard heard_at(GeoPoint place, std::span<const Receiver> receivers, const AccuracyRules& rules) {
  Heard heard;
  for (const Receiver& r : receivers) {
    const auto one = information(place, r, rules);
    if (!one) continue;
    heard.sum.add(*one);
    heard.stations += 1;
  }
  return heard;
}

double log_determinant(Information sum) {
  constexpr double kBefore = 1.0 / (kKnownBefore_m * kKnownBefore_m);
  sum.add({kBefore, 0.0, kBefore});
  return std::log(sum.determinant());
}

}  // namespace

double radio_horizon_m(double height_1_m, double height_2_m) {
  constexpr double kPerRoot_m = 4120.0;
  return kPerRoot_m * (std::sqrt(height_1_m) + std::sqrt(height_2_m));
}

std::optional<ExpectedFix> expected_fix(GeoPoint place, std::span<const Receiver> receivers,
                                        const AccuracyRules& rules) {
  const auto [sum, stations] = heard_at(place, receivers, rules);
  const double trace = sum.ee + sum.nn;
  const double determinant = sum.determinant();
  if (stations < 2 || determinant <= kLeastRatio * trace * trace) return std::nullopt;
  const EnCovariance covariance{sum.nn / determinant, -sum.en / determinant, sum.ee / determinant};
  return ExpectedFix{geodesy::error_ellipse(covariance, rules.probability), stations};
}

std::optional<std::size_t> best_candidate(std::span<const Receiver> candidates,
                                          std::span<const GeoPoint> places,
                                          std::span<const Receiver> receivers,
                                          const AccuracyRules& rules) {
  std::vector<Information> before;
  for (const GeoPoint& p : places) before.push_back(heard_at(p, receivers, rules).sum);
  std::optional<std::size_t> best;
  double most = -std::numeric_limits<double>::infinity();
  for (std::size_t c = 0; c < candidates.size(); ++c) {
    double gain = 0.0;
    for (std::size_t i = 0; i < places.size(); ++i) {
      Information sum = before[i];
      if (const auto one = information(places[i], candidates[c], rules)) sum.add(*one);
      gain += log_determinant(sum);
    }
    if (gain <= most) continue;
    most = gain;
    best = c;
  }
  return best;
}

}  // namespace fixwright::locate
