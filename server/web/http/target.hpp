#pragma once
/// The target of a request, taken apart.

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "server/base/result.hpp"

namespace fixwright::web {

struct Target {
  std::string path;                                        // decoded, begins with "/"
  std::vector<std::pair<std::string, std::string>> query;  // decoded, in the order sent
};

/// Origin form of RFC 9112 only, percent-decoded once. Refused: no leading "/", a broken
/// "%" triple, a control character, a backslash, and any "." or ".." segment.
Result<Target> parse_target(std::string_view target);

}  // namespace fixwright::web
