#pragma once
/// The tables that follow the configuration.

#include <span>
#include <vector>

#include "server/model/channel.hpp"
#include "server/model/station.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// Gives each station, by its name, the id it has for ever: the one it had, or the highest so
/// far + 1, in the order given. Place and the rest follow what is given; `id` is ignored.
/// Stations no longer configured stay in the table: their bearings stay readable.
/// \return those given, by id. Throws DatabaseAway (call again) or DatabaseRefused.
Stations register_stations(Database& database, std::vector<Station> stations);

/// Adds or updates channels by id; leaves the others.
void register_channels(Database& database, std::span<const Channel> channels);

}  // namespace fixwright::store
