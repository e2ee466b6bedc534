#include "server/geodesy/neighbours.hpp"

#include <algorithm>

#include "server/geodesy/fast_azimuth.hpp"

namespace fixwright::geodesy {

namespace {

double square_distance_m2(const SurfacePoint& a, const SurfacePoint& b) {
  double sum = 0.0;
  for (std::size_t i = 0; i < 3; ++i) {
    const double d = a.place_m[i] - b.place_m[i];
    sum += d * d;
  }
  return sum;
}

}  // namespace

std::vector<int> count_neighbours(std::span<const GeoPoint> points, double radius_m) {
  std::vector<SurfacePoint> different;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const auto before = points.first(i);
    if (std::find(before.begin(), before.end(), points[i]) == before.end()) {
      different.push_back(surface_point(points[i]));
    }
  }
  std::vector<int> counts;
  counts.reserve(points.size());
  for (const GeoPoint& point : points) {
    const SurfacePoint at = surface_point(point);
    counts.push_back(static_cast<int>(
        std::count_if(different.begin(), different.end(), [&](const SurfacePoint& other) {
          return square_distance_m2(at, other) <= radius_m * radius_m;
        })));
  }
  return counts;
}

}  // namespace fixwright::geodesy
