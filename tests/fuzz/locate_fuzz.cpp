/// libFuzzer target: whatever bytes `fixwright locate` is given, it ends, and the rows it writes
/// hold no NaN. Run: locate_fuzz tests/fuzz/corpus/locate

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <sstream>
#include <string>

#include "server/tools/locate_command.hpp"

namespace {

/// Words that a broken number would leave in the output.
bool names_no_number(const std::string& text) {
  return text.find("nan") != std::string::npos || text.find("inf") != std::string::npos;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::istringstream in{std::string{reinterpret_cast<const char*>(data), size}};
  std::ostringstream out;
  std::ostringstream err;
  const int exit_code = fixwright::tools::run_locate(in, "fuzz", {}, out, err);
  if (exit_code < 0 || exit_code > 2 || names_no_number(out.str())) {
    std::abort();
  }
  return 0;
}
