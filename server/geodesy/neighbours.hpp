#pragma once
/// Which points lie close together.

#include <span>
#include <vector>

#include "server/base/geo.hpp"

namespace fixwright::geodesy {

/// For each point, how many different points lie within `radius_m` of it, itself included: 1 and
/// up. Distances are straight lines through the ground, a millimetre short at 50 km.
/// Work grows with the square of the points.
std::vector<int> count_neighbours(std::span<const GeoPoint> points, double radius_m);

}  // namespace fixwright::geodesy
