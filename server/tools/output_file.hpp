#pragma once
/// What a command writes, to a file or to the terminal.

#include <fmt/core.h>

#include <fstream>
#include <ostream>
#include <string>
#include <string_view>

namespace fixwright::tools {

/// \param path  empty: `out`. \return 0; 1, with one line that begins with `command`, when the file
/// can't be written.
inline int put_output(std::string_view command, const std::string& text, const std::string& path,
                      std::ostream& out, std::ostream& err) {
  if (path.empty()) {
    out << text;
    return 0;
  }
  std::ofstream file(path, std::ios::binary);
  file << text << std::flush;
  if (file) return 0;
  err << fmt::format("{}: {}: can't be written; give another --output\n", command, path);
  return 1;
}

}  // namespace fixwright::tools
