#pragma once
/// A place drawn in ASCII: letters are stations, digits are emitters, one cell is so many
/// kilometres wide and high, the first row is the northernmost.
///
///     A . . . B
///     . . 1 . .
///     C . . . D
///
/// Blanks between the cells are for the eye only. The middle of the map is the middle of the
/// invented island Osmere.

#include <map>
#include <string_view>

#include "server/model/station.hpp"

namespace fixwright::scenario {

inline constexpr GeoPoint kOsmere{41.20, -150.30};

struct Map {
  Stations stations;                  // A is 1, B is 2, ...; named STATION-A, ...
  std::map<char, GeoPoint> emitters;  // by digit
};

/// \param site_sigma_deg  of every station.
/// Stops the test program on a drawing that is not rectangular.
Map draw(std::string_view ascii, double cell_km, double site_sigma_deg = 0.15);

}  // namespace fixwright::scenario
