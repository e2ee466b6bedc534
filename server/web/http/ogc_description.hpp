#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "server/model/feature.hpp"

namespace fixwright::web {

/// What can be asked of /ogc, as a document of OpenAPI 3.0.
nlohmann::json ogc_description(const std::vector<Layer>& layers, const std::string& root);

}  // namespace fixwright::web
