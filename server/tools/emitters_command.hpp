#pragma once
/// `fixwright emitters`: what a running server has located, as a table.

#include <cstddef>
#include <ostream>
#include <string>

namespace fixwright::tools {

struct EmittersOptions {
  std::string server = "127.0.0.1:7440";
  std::size_t limit = 100;  // 1 to 1000
};

/// \return 0; 1 when the server can't be reached, with one line on `err`.
int run_emitters(const EmittersOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
