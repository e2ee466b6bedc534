#pragma once
/// Station names by id, as last read from the port.

#include <map>
#include <span>
#include <string>
#include <vector>

#include "server/model/views.hpp"

namespace fixwright::web {

class StationNames {
 public:
  StationNames() = default;
  explicit StationNames(std::span<const StationView> stations) {
    for (const StationView& s : stations) names_[s.station.id] = s.station.name;
  }

  [[nodiscard]] bool knows(StationId id) const { return names_.find(id) != names_.end(); }

  /// "station 7" for one that is not known.
  [[nodiscard]] std::string name(StationId id) const {
    const auto it = names_.find(id);
    return it == names_.end() ? "station " + std::to_string(id) : it->second;
  }

  [[nodiscard]] std::vector<std::string> names(std::span<const StationId> ids) const {
    std::vector<std::string> out;
    for (const StationId id : ids) out.push_back(name(id));
    return out;
  }

 private:
  std::map<StationId, std::string> names_;
};

}  // namespace fixwright::web
