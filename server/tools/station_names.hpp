#pragma once
/// What people call the stations.

#include <fmt/core.h>

#include <map>
#include <string>
#include <vector>

#include "server/model/ids.hpp"

namespace fixwright::tools {

using StationNames = std::map<StationId, std::string>;

/// One whose name is not known is shown by its id.
inline std::string name_of(StationId id, const StationNames& names) {
  const auto found = names.find(id);
  return found == names.end() ? fmt::format("station {}", id) : found->second;
}

/// Of stations with the ids 1, 2, 3 …
inline StationNames numbered(const std::vector<std::string>& names) {
  StationNames numbered;
  for (const std::string& name : names) {
    numbered.emplace(static_cast<StationId>(numbered.size() + 1), name);
  }
  return numbered;
}

}  // namespace fixwright::tools
