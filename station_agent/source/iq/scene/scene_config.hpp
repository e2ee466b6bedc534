#pragma once
/// A scene from its TOML file; deploy/config/demo/osmere_scene.toml shows every key.

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/config.hpp"
#include "station_agent/source/iq/scene/scene.hpp"

namespace fixwright::agent::scene {

struct SceneFile {
  Scene scene;
  std::vector<std::string> problems;  // one line each; the scene is usable only without any
};

SceneFile load_scene(const std::filesystem::path& path);
SceneFile parse_scene(std::string_view toml, std::string_view name);

/// The word of each fault in the file.
std::string_view word(FaultKind kind);

}  // namespace fixwright::agent::scene
