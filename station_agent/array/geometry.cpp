#include "station_agent/array/geometry.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "server/base/angle.hpp"

namespace fixwright::agent::array {

namespace {

constexpr double kFarthest_m = 100.0;
constexpr double kClosest_m = 1e-3;
constexpr double kStraightness = 1e-6;

double distance_m(const ElementPosition& a, const ElementPosition& b) {
  return std::hypot(a.x_m - b.x_m, a.y_m - b.y_m);
}

template <typename Visit>
void each_pair(const ArrayGeometry& geometry, Visit visit) {
  for (int i = 0; i < geometry.size(); ++i) {
    for (int j = i + 1; j < geometry.size(); ++j) {
      visit(i, j, distance_m(geometry.elements[i], geometry.elements[j]));
    }
  }
}

std::string place_problem(const ArrayGeometry& geometry) {
  for (int i = 0; i < geometry.size(); ++i) {
    const ElementPosition& p = geometry.elements[i];
    const double far_m = std::hypot(p.x_m, p.y_m, p.z_m);
    if (!(far_m <= kFarthest_m)) {
      return fmt::format("element {} is at {}, {}, {} m: must be within {} m of the array's origin",
                         i + 1, p.x_m, p.y_m, p.z_m, kFarthest_m);
    }
  }
  return {};
}

std::string spacing_problem(const ArrayGeometry& geometry) {
  std::string problem;
  each_pair(geometry, [&](int i, int j, double d_m) {
    if (d_m >= kClosest_m || !problem.empty()) return;
    problem = fmt::format("elements {} and {} are {} m apart in the horizontal: must be {} or more",
                          i + 1, j + 1, d_m, kClosest_m);
  });
  return problem;
}

}  // namespace

ArrayGeometry circular_array(int count, double radius_m, double first_deg) {
  ArrayGeometry geometry;
  for (int i = 0; i < count; ++i) {
    const double rad = first_deg * kDegToRad + 2.0 * std::numbers::pi * i / count;
    geometry.elements.push_back({radius_m * std::sin(rad), radius_m * std::cos(rad), 0.0});
  }
  return geometry;
}

ArrayGeometry linear_array(int count, double spacing_m) {
  ArrayGeometry geometry;
  for (int i = 0; i < count; ++i) {
    geometry.elements.push_back({(i - 0.5 * (count - 1)) * spacing_m, 0.0, 0.0});
  }
  return geometry;
}

std::string geometry_problem(const ArrayGeometry& geometry) {
  if (geometry.size() < kMinElements || geometry.size() > kMaxElements) {
    return fmt::format("{} elements: must be {} to {}", geometry.size(), kMinElements,
                       kMaxElements);
  }
  if (!std::isfinite(geometry.orientation_deg)) return "the orientation is no number of degrees";
  std::string problem = place_problem(geometry);
  return problem.empty() ? spacing_problem(geometry) : problem;
}

bool is_linear(const ArrayGeometry& geometry) {
  const ElementPosition& a = geometry.elements.front();
  const auto far = std::max_element(
      geometry.elements.begin(), geometry.elements.end(),
      [&](const auto& p, const auto& q) { return distance_m(a, p) < distance_m(a, q); });
  const double length_m = distance_m(a, *far);
  const double dx = (far->x_m - a.x_m) / length_m;
  const double dy = (far->y_m - a.y_m) / length_m;
  return std::all_of(geometry.elements.begin(), geometry.elements.end(), [&](const auto& p) {
    const double off_m = (p.x_m - a.x_m) * dy - (p.y_m - a.y_m) * dx;
    return std::abs(off_m) <= kStraightness * length_m;
  });
}

double uniform_spacing_m(const ArrayGeometry& geometry) {
  const auto& e = geometry.elements;
  const double step_x_m = e[1].x_m - e[0].x_m;
  const double step_y_m = e[1].y_m - e[0].y_m;
  const double step_m = std::hypot(step_x_m, step_y_m);
  for (std::size_t i = 2; i < e.size(); ++i) {
    const double off_m =
        std::hypot(e[i].x_m - e[i - 1].x_m - step_x_m, e[i].y_m - e[i - 1].y_m - step_y_m);
    if (off_m > kStraightness * step_m) return 0.0;
  }
  return step_m;
}

double aperture_m(const ArrayGeometry& geometry) {
  double largest_m = 0.0;
  each_pair(geometry, [&](int, int, double d_m) { largest_m = std::max(largest_m, d_m); });
  return largest_m;
}

double neighbour_spacing_m(const ArrayGeometry& geometry) {
  double smallest_m = std::numeric_limits<double>::infinity();
  each_pair(geometry, [&](int, int, double d_m) { smallest_m = std::min(smallest_m, d_m); });
  return smallest_m;
}

}  // namespace fixwright::agent::array
