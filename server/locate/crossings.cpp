#include "server/locate/crossings.hpp"

#include <algorithm>
#include <cmath>

namespace fixwright::locate {

namespace {

using geodesy::dot;
using geodesy::Vec3;

constexpr double kRadius_m = 6'371'000.0;

Vec3 cross(const Vec3& a, const Vec3& b) {
  return {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
}

/// A bearing as a great circle: where it sets out, its direction there, the circle's pole.
struct Circle {
  Vec3 up{};
  Vec3 ahead{};
  Vec3 pole{};
};

Circle circle_of(const Sight& sight, const Hypothesis& hypothesis) {
  const double s = std::sin(hypothesis.azimuth_rad);
  const double c = std::cos(hypothesis.azimuth_rad);
  Circle circle;
  circle.up = sight.frame.at.up;
  for (std::size_t i = 0; i < 3; ++i) {
    circle.ahead[i] = s * sight.frame.at.east[i] + c * sight.frame.at.north[i];
  }
  circle.pole = cross(circle.up, circle.ahead);
  return circle;
}

/// Cosine of the longest arc looked along, pi at most.
double cosine_of_limit(double range_limit_m) {
  return std::cos(std::min(range_limit_m / kRadius_m, 3.14159));
}

/// Fills place and determinant; determinant stays 0 where there is no forward crossing in range.
void cross_pair(const Circle& a, const Circle& b, const Sight& first, const Sight& second,
                double cosine_of_limit, Crossing& out) {
  Vec3 axis = cross(a.pole, b.pole);
  const double sine = std::sqrt(dot(axis, axis));  // of the angle of crossing
  if (sine < 1e-9) {
    return;
  }
  const double sign = dot(axis, a.ahead) > 0.0 ? 1.0 : -1.0;
  for (double& v : axis) {
    v *= sign / sine;
  }
  // Sines of the arcs from both starts: positive when the point is ahead.
  const double sine_a = dot(axis, a.ahead);
  const double sine_b = dot(axis, b.ahead);
  if (sine_a <= 0.0 || sine_b <= 0.0 || dot(axis, a.up) < cosine_of_limit ||
      dot(axis, b.up) < cosine_of_limit) {
    return;
  }
  const double spread_a = std::max(sine_a * kRadius_m, 1.0) * first.sigma_rad;
  const double spread_b = std::max(sine_b * kRadius_m, 1.0) * second.sigma_rad;
  const double root = sine / (spread_a * spread_b);
  out.up = axis;
  out.determinant = root * root;
}

}  // namespace

void find_crossings(std::span<const Sight> sights, double range_limit_m,
                    std::vector<Crossing>& crossings) {
  const double limit = cosine_of_limit(range_limit_m);
  std::vector<std::array<Circle, kMaxHypotheses>> circles(sights.size());
  for (std::size_t i = 0; i < sights.size(); ++i) {
    for (std::size_t h = 0; h < sights[i].hypothesis_count; ++h) {
      circles[i][h] = circle_of(sights[i], sights[i].hypotheses[h]);
    }
  }
  for (std::size_t i = 0; i < sights.size(); ++i) {
    for (std::size_t j = i + 1; j < sights.size(); ++j) {
      if (sights[i].place == sights[j].place) {
        continue;
      }
      for (std::size_t h = 0; h < sights[i].hypothesis_count; ++h) {
        for (std::size_t k = 0; k < sights[j].hypothesis_count; ++k) {
          Crossing c{{},
                     static_cast<std::uint16_t>(i),
                     static_cast<std::uint16_t>(j),
                     static_cast<Choice>(h),
                     static_cast<Choice>(k),
                     0.0};
          cross_pair(circles[i][h], circles[j][k], sights[i], sights[j], limit, c);
          if (c.determinant > 0.0) {
            crossings.push_back(c);
          }
        }
      }
    }
  }
}

Crossing best_crossing(std::span<const Sight> sights, double range_limit_m) {
  Crossing best;
  // The first few sights give pairs enough for one good start; all of them are tried only when
  // that start turns out not to explain them.
  constexpr std::size_t kEnough = 6;
  const std::size_t count = std::min(sights.size(), kEnough);
  const double limit = cosine_of_limit(range_limit_m);
  std::array<Circle, kEnough> circles;
  for (std::size_t i = 0; i < count; ++i) {
    circles[i] = circle_of(sights[i], sights[i].hypotheses[0]);
  }
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t j = i + 1; j < count; ++j) {
      Crossing c{{}, static_cast<std::uint16_t>(i), static_cast<std::uint16_t>(j), 0, 0, 0.0};
      if (sights[i].place != sights[j].place) {
        cross_pair(circles[i], circles[j], sights[i], sights[j], limit, c);
      }
      if (c.determinant > best.determinant) {
        best = c;
      }
    }
  }
  return best;
}

}  // namespace fixwright::locate
