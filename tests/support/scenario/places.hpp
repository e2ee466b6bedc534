#pragma once
/// The island that the scored days are played on: 80 x 80 km, four stations.

#include <string_view>

#include "tests/support/scenario/map.hpp"
#include "tests/support/scenario/simulator.hpp"

namespace fixwright::scenario {

/// For draw(), with cells of 10 km.
inline constexpr std::string_view kFourStations = R"(
  . . . . . . . . .
  . A . . . . . B .
  . . . . . . . . .
  . . . . . . . . .
  . . . . . . . . .
  . . . . . . . . .
  . . . . . . . . .
  . D . . . . . C .
  . . . . . . . . .
)";

/// Anywhere on it, evenly.
inline GeoPoint somewhere(Dice& dice) {
  constexpr double kSide_km = 80.0;
  constexpr double kDegreeNorth_km = 111.0;
  constexpr double kDegreeEast_km = 84.0;  // at 41.2 degrees north
  const double lat = kOsmere.latitude_deg + (dice.uniform() - 0.5) * kSide_km / kDegreeNorth_km;
  const double lon = kOsmere.longitude_deg + (dice.uniform() - 0.5) * kSide_km / kDegreeEast_km;
  return {lat, lon};
}

}  // namespace fixwright::scenario
