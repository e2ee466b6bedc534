#pragma once
/// Many bearings of one station, made one observation: they share the station's bias and the
/// reflections of its site, so ten thousand of them are not ten thousand independent ones.

#include <span>
#include <vector>

#include "server/locate/rules.hpp"
#include "server/model/bearing.hpp"
#include "server/model/fix.hpp"
#include "server/model/station.hpp"

namespace fixwright::locate {

/// One pooled bearing a station and place, ordered by station, then place.
///
/// azimuth: circular mean weighted by 1 / sigma^2, each less the station's bias (K. V. Mardia, P.
/// E. Jupp, Directional Statistics, 2000, 2.2). sigma^2 = site_sigma^2 + 1 / sum(1 / sigma_i^2):
/// the floor does not average away. Alternatives are pooled in the same way; one that few of the
/// bearings show weighs little. Of a station that is not in `stations` the stated sigma is taken as
/// the whole error of one bearing, with up to rules.default_site_sigma_deg of it as the floor. A
/// moving station's bearings pool only where it stood still; its places within kMovingSite_m of one
/// another share the site's error, so n of them carry n times its variance each: it does not
/// average away along a street either.
///
/// \pre every bearing was admitted: finite, 0 < sigma <= 90, latitude and longitude in range.
std::vector<PooledBearing> pool(std::span<const Bearing> bearings, const Stations& stations,
                                const LocateRules& rules = {});

/// Adds the site's variance as often as other places of the same moving station share it.
void share_moving_sites(std::span<PooledBearing* const> pooled, const Stations& stations,
                        const LocateRules& rules);

}  // namespace fixwright::locate
