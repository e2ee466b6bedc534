#pragma once
/// How stations saw still emitters, hour by hour.

#include <vector>

#include "server/model/azimuth_hour.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// Of confirmed still emitters that three stations heard or more, as their final fixes have it;
/// bearings that a fix set aside are among them, for those of a station that drifted far are.
/// Stations that move are left out. By hour, station and emitter.
/// \param from, to  transmissions that start in [from, to): whole hours
/// Throws DatabaseAway or DatabaseRefused.
std::vector<AzimuthHour> azimuth_hours(Database& database, TimePoint from, TimePoint to);

}  // namespace fixwright::store
