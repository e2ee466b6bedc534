#pragma once
/// The emitters' share of a scene's file.

#include <set>
#include <string>

#include "server/base/config.hpp"
#include "station_agent/source/iq/scene/scene.hpp"

namespace fixwright::agent::scene {

/// The name, which must not be among `taken`, and then is.
std::string read_name(const ConfigTable& table, std::set<std::string>& taken);
GeoPoint read_point(const ConfigTable& table);
SceneEmitter read_emitter(const ConfigTable& table, std::set<std::string>& taken);

}  // namespace fixwright::agent::scene
