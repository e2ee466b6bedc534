#include "server/locate/contour.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/local_frame.hpp"

namespace fixwright::locate {

namespace {

using geodesy::SurfacePoint;

constexpr double kRadius_m = 6'371'000.0;
constexpr int kRays = 72;

/// The point `distance_m` along the great circle of the normals that leaves in direction (e, n).
SurfacePoint along(const SurfacePoint& from, double e, double n, double distance_m) {
  const double arc = distance_m / kRadius_m;
  const double s = std::sin(arc);
  const double c = std::cos(arc);
  geodesy::Vec3 up{};
  for (std::size_t i = 0; i < 3; ++i) {
    up[i] = c * from.up[i] + s * (e * from.east[i] + n * from.north[i]);
  }
  return geodesy::surface_point_of_normal(up);
}

/// Unit directions spread as the ellipse asks: half of them along its long axis.
struct Directions {
  double major_e = 0.0, major_n = 0.0, minor_e = 0.0, minor_n = 0.0;  // one sigma each
};

Directions axes_of(const Information& information) {
  const ErrorEllipse e = geodesy::error_ellipse(covariance_of(information), 0.5);
  const double k = geodesy::ellipse_factor(0.5);
  const double turn_rad = e.orientation_deg * std::numbers::pi / 180.0;
  const double s = std::sin(turn_rad);
  const double c = std::cos(turn_rad);
  return {e.semi_major_m / k * s, e.semi_major_m / k * c, e.semi_minor_m / k * c,
          -e.semi_minor_m / k * s};
}

struct Ray {
  double e = 0.0;
  double n = 0.0;
  double sigma_m = 0.0;  // one sigma along it
};

Ray ray_of(const Directions& axes, double turn) {
  const double e = axes.major_e * std::cos(turn) + axes.minor_e * std::sin(turn);
  const double n = axes.major_n * std::cos(turn) + axes.minor_n * std::sin(turn);
  const double length = std::hypot(e, n);
  return {e / length, n / length, length};
}

/// Rise of chi-square at a distance along a ray.
struct Profile {
  std::span<const Line> lines;
  const Estimate* solution;
  Ray ray;

  [[nodiscard]] double operator()(double distance_m) const {
    const SurfacePoint p = along(solution->point, ray.e, ray.n, distance_m);
    return chi_square_at(lines, p) - solution->chi_square;
  }
};

/// Between `inside` and `outside`, to a thousandth.
double bisect(const Profile& profile, double rise, double inside_m, double outside_m) {
  while (outside_m - inside_m > 1e-3 * outside_m) {
    const double middle_m = 0.5 * (inside_m + outside_m);
    (profile(middle_m) < rise ? inside_m : outside_m) = middle_m;
  }
  return 0.5 * (inside_m + outside_m);
}

/// How far along the ray a station comes to be `limit_m` away; a chord is near enough.
double reach_of(std::span<const Line> lines, const Estimate& solution, const Ray& ray,
                double limit_m) {
  const auto farthest = [&](double distance_m) {
    return evaluate(lines, along(solution.point, ray.e, ray.n, distance_m)).farthest_m;
  };
  double inside_m = 0.0;
  double outside_m = std::min(2.0 * limit_m, 1.9e7);
  while (outside_m - inside_m > 1e-3 * limit_m) {
    const double middle_m = 0.5 * (inside_m + outside_m);
    (farthest(middle_m) < limit_m ? inside_m : outside_m) = middle_m;
  }
  return inside_m;
}

/// Distance to the contour; negative: minus the reach, where the limit comes first.
double find_edge(const Profile& profile, double rise, double limit_m) {
  double inside_m = 0.0;
  double outside_m = 0.5 * std::sqrt(rise) * profile.ray.sigma_m;
  while (profile(outside_m) < rise) {
    inside_m = outside_m;
    outside_m *= 1.25;
    if (outside_m > 0.2 * limit_m) {
      const double reach_m = reach_of(profile.lines, *profile.solution, profile.ray, limit_m);
      if (outside_m > reach_m) {
        return profile(reach_m) < rise ? -reach_m : bisect(profile, rise, inside_m, reach_m);
      }
    }
  }
  return bisect(profile, rise, inside_m, outside_m);
}

}  // namespace

Contour trace_contour(std::span<const Line> lines, const Estimate& solution, double rise,
                      double range_limit_m) {
  const Directions axes = axes_of(solution.information);
  Contour contour;
  contour.ring.reserve(kRays + 1);
  for (int i = 0; i < kRays; ++i) {
    const double turn = 2.0 * std::numbers::pi * i / kRays;
    const Ray ray = ray_of(axes, -turn);
    const double edge = find_edge({lines, &solution, ray}, rise, range_limit_m);
    contour.open = contour.open || edge < 0.0;
    contour.east_m.push_back(std::abs(edge) * ray.e);
    contour.north_m.push_back(std::abs(edge) * ray.n);
    contour.ring.push_back(geodesy::geo_point(along(solution.point, ray.e, ray.n, std::abs(edge))));
  }
  contour.ring.push_back(contour.ring.front());
  return contour;
}

ErrorEllipse covering_ellipse(const Contour& contour, double probability) {
  EnCovariance shape;
  for (std::size_t i = 0; i < contour.east_m.size(); ++i) {
    shape.ee_m2 += contour.east_m[i] * contour.east_m[i];
    shape.en_m2 += contour.east_m[i] * contour.north_m[i];
    shape.nn_m2 += contour.north_m[i] * contour.north_m[i];
  }
  double most = 0.0;
  for (std::size_t i = 0; i < contour.east_m.size(); ++i) {
    const geodesy::EnOffset x{contour.east_m[i], contour.north_m[i]};
    most = std::max(most, geodesy::mahalanobis_squared(shape, x));
  }
  const double k = geodesy::ellipse_factor(probability);
  // 1 % more: between two vertices the contour may bulge.
  const double scale = 1.01 * 1.01 * most / (k * k);
  return geodesy::error_ellipse({shape.ee_m2 * scale, shape.en_m2 * scale, shape.nn_m2 * scale},
                                probability);
}

bool near_linear(const Estimate& solution, double rise) {
  constexpr double kSmall = 0.2;
  const ErrorEllipse e = geodesy::error_ellipse(covariance_of(solution.information), 0.5);
  const double reach_m = e.semi_major_m / geodesy::ellipse_factor(0.5) * std::sqrt(rise);
  return reach_m <= kSmall * solution.nearest_m;
}

}  // namespace fixwright::locate
