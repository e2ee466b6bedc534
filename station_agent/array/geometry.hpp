#pragma once
/// Where the elements of an array stand, and which way the array looks.

#include <string>
#include <vector>

#include "station_agent/array/elements.hpp"

namespace fixwright::agent::array {

/// Metres in the array's own frame: x to its right, y forward, z up. Only differences count.
struct ElementPosition {
  double x_m = 0.0;
  double y_m = 0.0;
  double z_m = 0.0;
};

/// The elements, in the order of the receiver's channels.
struct ArrayGeometry {
  std::vector<ElementPosition> elements;
  /// Azimuth of the frame's forward axis, degrees clockwise from true north, any turn.
  double orientation_deg = 0.0;

  [[nodiscard]] int size() const { return static_cast<int>(elements.size()); }
};

/// Elements on a circle round the origin, numbered clockwise as seen from above, the first at
/// `first_deg` clockwise from forward.
ArrayGeometry circular_array(int count, double radius_m, double first_deg = 0.0);

/// Elements on a line, the first on the left, the origin in the middle: broadside is forward.
ArrayGeometry linear_array(int count, double spacing_m);

/// Nothing when the array can take azimuths at all; else one line: 2 to 16 elements, finite
/// places within 100 m, no two closer than 1 mm in the horizontal.
std::string geometry_problem(const ArrayGeometry& geometry);

/// All elements on one horizontal line (to 1e-6 of its length): front and back look alike.
bool is_linear(const ArrayGeometry& geometry);

/// The step of a line of equally spaced elements in order (to 1e-6 of it); 0 for anything else.
double uniform_spacing_m(const ArrayGeometry& geometry);

/// Largest horizontal distance between two elements.
double aperture_m(const ArrayGeometry& geometry);

/// Smallest horizontal distance between two elements: on a circle 2 R sin(pi / N).
double neighbour_spacing_m(const ArrayGeometry& geometry);

}  // namespace fixwright::agent::array
