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
constexpr int kRays = 40;

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

/// The inverse of along(): where a point lies, seen from another.
geodesy::EnOffset seen_from(const SurfacePoint& from, const SurfacePoint& to) {
  const double e = geodesy::dot(to.up, from.east);
  const double n = geodesy::dot(to.up, from.north);
  const double across = std::hypot(e, n);
  const double distance_m = kRadius_m * std::atan2(across, geodesy::dot(to.up, from.up));
  const double scale = across > 0.0 ? distance_m / across : 0.0;
  return {e * scale, n * scale};
}

/// What rays set out from, and the half axes of an ellipse that about fills the region.
struct Centre {
  SurfacePoint point;
  geodesy::EnOffset major;
  geodesy::EnOffset minor;
};

/// Half axes for `rise`, as the information has them.
Centre fisher_centre(const Estimate& solution, double rise) {
  const ErrorEllipse e = geodesy::error_ellipse(covariance_of(solution.information), 0.5);
  const double scale = std::sqrt(rise) / geodesy::ellipse_factor(0.5);
  const double turn_rad = e.orientation_deg * std::numbers::pi / 180.0;
  const double s = std::sin(turn_rad);
  const double c = std::cos(turn_rad);
  const double a = e.semi_major_m * scale;
  const double b = e.semi_minor_m * scale;
  return {solution.point, {a * s, a * c}, {b * c, -b * s}};
}

struct Ray {
  SurfacePoint from;
  double e = 0.0;  // unit direction
  double n = 0.0;
  double guess_m = 0.0;  // how far the edge may be
};

Ray ray_of(const Centre& centre, double turn) {
  const double e = centre.major.east_m * std::cos(turn) + centre.minor.east_m * std::sin(turn);
  const double n = centre.major.north_m * std::cos(turn) + centre.minor.north_m * std::sin(turn);
  const double length = std::max(std::hypot(e, n), 1e-6);
  return {centre.point, e / length, n / length, length};
}

/// What is traced: everything but the ray.
struct Field {
  std::span<const Line> lines;
  const Estimate* solution = nullptr;
  double rise = 0.0;
  double limit_m = 0.0;
  /// The solution itself is disbelieved: it sits at a station and would go on through it, so the
  /// score leaves nothing to draw. Then the likelihood ratio is traced, which always does.
  bool by_ratio = false;

  [[nodiscard]] double height(const SurfacePoint& p) const {
    return by_ratio ? chi_square_at(lines, p) - solution->chi_square
                    : disbelief(lines, solution->chi_square, p);
  }
};

/// Along a ray: the root of the disbelief, which is nearly a straight line, less that of the rise.
struct Profile {
  const Field& field;
  Ray ray;

  [[nodiscard]] double operator()(double distance_m) const {
    const SurfacePoint p = along(ray.from, ray.e, ray.n, distance_m);
    return std::sqrt(std::max(field.height(p), 0.0)) - std::sqrt(field.rise);
  }
};

struct Sample {
  double distance_m = 0.0;
  double height = 0.0;  // of the profile: negative inside
};

/// Where the profile is nought, to a thousandth: false position (Illinois).
double close_in(const Profile& profile, Sample inside, Sample outside) {
  const double enough = 1e-3 * std::sqrt(profile.field.rise);
  for (int i = 0; i < 60 && outside.distance_m - inside.distance_m > 1e-3 * outside.distance_m;
       ++i) {
    const double share = std::clamp(inside.height / (inside.height - outside.height), 0.02, 0.98);
    const double middle_m = inside.distance_m + share * (outside.distance_m - inside.distance_m);
    const double here = profile(middle_m);
    if (std::abs(here) < enough) {
      return middle_m;
    }
    if (here < 0.0) {
      inside = {middle_m, here};
      outside.height *= 0.5;
    } else {
      outside = {middle_m, here};
      inside.height *= 0.5;
    }
  }
  return 0.5 * (inside.distance_m + outside.distance_m);
}

/// How far along the ray a station comes to be `limit_m` away; a chord is near enough.
double reach_of(std::span<const Line> lines, const Ray& ray, double limit_m) {
  const auto farthest = [&](double distance_m) {
    return evaluate(lines, along(ray.from, ray.e, ray.n, distance_m)).farthest_m;
  };
  double inside_m = 0.0;
  double outside_m = std::min(2.0 * limit_m, 1.9e7);
  while (outside_m - inside_m > 1e-3 * limit_m) {
    const double middle_m = 0.5 * (inside_m + outside_m);
    (farthest(middle_m) < limit_m ? inside_m : outside_m) = middle_m;
  }
  return inside_m;
}

/// Distance to the contour; negative: minus the reach, where the limit comes first. The look that
/// starts at `start_m` goes on outwards while it is inside.
double find_edge(const Field& field, const Ray& ray, double start_m) {
  const Profile profile{field, ray};
  const double limit_m = field.limit_m;
  double reach_m = limit_m;
  const auto within_reach = [&](double distance_m) {
    if (distance_m <= 0.1 * limit_m) return distance_m;
    reach_m = reach_of(field.lines, ray, limit_m);
    return std::min(distance_m, reach_m);
  };
  Sample inside{0.0, -std::sqrt(field.rise)};
  double next_m = within_reach(start_m);
  for (;;) {
    const Sample here{next_m, profile(next_m)};
    if (here.height >= 0.0) {
      return close_in(profile, inside, here);
    }
    if (here.distance_m >= reach_m) {
      return -reach_m;
    }
    inside = here;
    next_m = within_reach(1.3 * here.distance_m);
  }
}

/// The middle of the chord through the centre along its major (or minor) axis becomes the centre,
/// half the chord the axis. A middle outside the region leaves it as it is.
Centre balanced(const Field& field, const Centre& centre, bool along_major) {
  const double turn = along_major ? 0.0 : 0.5 * std::numbers::pi;
  const Ray ahead = ray_of(centre, turn);
  const double ahead_m = std::abs(find_edge(field, ahead, 0.5 * ahead.guess_m));
  const Ray behind = ray_of(centre, turn + std::numbers::pi);
  const double back_m = std::abs(find_edge(field, behind, 0.5 * behind.guess_m));
  const double shift_m = 0.5 * (ahead_m - back_m);
  const double half_m = 0.5 * (ahead_m + back_m);
  Centre moved = centre;
  moved.point = along(centre.point, ahead.e, ahead.n, shift_m);
  (along_major ? moved.major : moved.minor) = {ahead.e * half_m, ahead.n * half_m};
  return field.height(moved.point) < field.rise ? moved : centre;
}

/// The vertices, each ray's look starting short of where the last one's edge says it is.
Contour trace_rays(const Field& field, const Centre& centre) {
  Contour contour;
  contour.ring.reserve(kRays + 1);
  double stretch = 1.0;  // edge over guess
  for (int i = 0; i < kRays; ++i) {
    const Ray ray = ray_of(centre, -2.0 * std::numbers::pi * i / kRays);
    const double edge = find_edge(field, ray, 0.85 * std::clamp(stretch, 0.6, 5.0) * ray.guess_m);
    stretch = std::abs(edge) / ray.guess_m;
    const SurfacePoint vertex = along(ray.from, ray.e, ray.n, std::abs(edge));
    contour.open = contour.open || edge < 0.0;
    contour.offsets.push_back(seen_from(field.solution->point, vertex));
    contour.ring.push_back(geodesy::geo_point(vertex));
  }
  contour.ring.push_back(contour.ring.front());
  return contour;
}

}  // namespace

Contour trace_contour(std::span<const Line> lines, const Estimate& solution, double rise,
                      double range_limit_m) {
  Field field{lines, &solution, rise, range_limit_m, false};
  field.by_ratio = field.height(solution.point) >= rise;
  Centre centre = fisher_centre(solution, rise);
  centre = balanced(field, centre, true);
  centre = balanced(field, centre, false);
  return trace_rays(field, centre);
}

ErrorEllipse covering_ellipse(const Contour& contour, double probability) {
  EnCovariance shape;
  for (const geodesy::EnOffset& x : contour.offsets) {
    shape.ee_m2 += x.east_m * x.east_m;
    shape.en_m2 += x.east_m * x.north_m;
    shape.nn_m2 += x.north_m * x.north_m;
  }
  // A sliver still has a width, and a point a millimetre.
  const double least_m2 = 1e-6 * (shape.ee_m2 + shape.nn_m2) + 1e-6;
  shape.ee_m2 += least_m2;
  shape.nn_m2 += least_m2;
  double most = 0.0;
  for (const geodesy::EnOffset& x : contour.offsets) {
    most = std::max(most, geodesy::mahalanobis_squared(shape, x));
  }
  const double k = geodesy::ellipse_factor(probability);
  // 1 % more: between two vertices the contour may bulge.
  const double scale = 1.01 * 1.01 * std::max(most, 1e-9) / (k * k);
  return geodesy::error_ellipse({shape.ee_m2 * scale, shape.en_m2 * scale, shape.nn_m2 * scale},
                                probability);
}

bool near_linear(const Estimate& solution, double rise) {
  constexpr double kSmall = 0.1;
  const EnCovariance c = covariance_of(solution.information);
  const double half = 0.5 * (c.ee_m2 - c.nn_m2);
  const double major_m2 = 0.5 * (c.ee_m2 + c.nn_m2) + std::sqrt(half * half + c.en_m2 * c.en_m2);
  const double reach_m = kSmall * solution.nearest_m;
  return major_m2 * rise <= reach_m * reach_m;
}

}  // namespace fixwright::locate
