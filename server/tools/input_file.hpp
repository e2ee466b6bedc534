#pragma once

#include <fmt/core.h>

#include <fstream>
#include <optional>
#include <ostream>
#include <sstream>
#include <string>
#include <string_view>

namespace fixwright::tools {

/// A whole file; nothing, with one line that begins with `command`, when it can't be read.
inline std::optional<std::string> read_input(std::string_view command, const std::string& path,
                                             std::ostream& err) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  if (file) return text.str();
  err << fmt::format("{}: {}: can't be read\n", command, path);
  return std::nullopt;
}

}  // namespace fixwright::tools
