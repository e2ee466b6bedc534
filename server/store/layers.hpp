#pragma once
/// The map layers in sql/layers, each a file: a line "-- " and its title, lines "-- " that say what
/// it shows, and one SELECT with the columns id, title, begin_at, end_at (timestamptz, may be
/// null), more properties, and geometry (SRID 4326).

#include <string_view>
#include <vector>

#include "server/model/feature.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// By name; compiled into the program.
const std::vector<Layer>& layers();

/// nullptr when there is none.
const Layer* find_layer(std::string_view name);

/// Reads only, and no longer than so many seconds, 1 to 3600. Throws DatabaseAway, DatabaseRefused.
/// \param layer  name of one of layers().
FeaturePage read_features(Database& database, std::string_view layer, const FeatureFilter& filter,
                          int at_most_s);

}  // namespace fixwright::store
