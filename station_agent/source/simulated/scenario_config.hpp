#pragma once
/// A scenario from its TOML file; deploy/config/demo/osmere.toml shows every key.

#include <filesystem>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "server/base/config.hpp"
#include "station_agent/source/simulated/scenario.hpp"

namespace fixwright::agent {

struct ScenarioFile {
  Scenario scenario;
  std::vector<std::string> problems;  // one line each; the scenario is usable only without any
};

ScenarioFile load_scenario(const std::filesystem::path& path);
ScenarioFile parse_scenario(std::string_view toml, std::string_view name);

}  // namespace fixwright::agent
