#pragma once

#include <string>
#include <vector>

namespace fixwright::store {

/// A file of sql/layers without its ending.
struct LayerFile {
  std::string name;
  std::string text;
};

/// All of them, by name.
const std::vector<LayerFile>& layer_files();

}  // namespace fixwright::store
