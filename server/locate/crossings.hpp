#pragma once
/// Where pairs of bearings cross: the starts of the search. Inside `locate` only.

#include <span>
#include <vector>

#include "server/locate/sight.hpp"

namespace fixwright::locate {

/// A forward crossing of two great circles, and how well it is determined.
struct Crossing {
  geodesy::Vec3 up{};  // unit normal of the crossing's place
  std::uint16_t first = 0;
  std::uint16_t second = 0;
  Choice first_choice = 0;
  Choice second_choice = 0;
  /// Determinant of the pair's information, 1/m^4: the larger the better the start.
  double determinant = 0.0;
};

/// Every forward crossing no farther than `range_limit_m` from both stations, of every pair of
/// sights at different places and every pair of their hypotheses. On a sphere: good to 0.3 % of the
/// range, which is what a start needs.
void find_crossings(std::span<const Sight> sights, double range_limit_m,
                    std::vector<Crossing>& crossings);

/// The best determined crossing of main azimuths; determinant 0 when there is none.
Crossing best_crossing(std::span<const Sight> sights, double range_limit_m);

}  // namespace fixwright::locate
