#pragma once
/// Passwords and keys, from files that nobody else may read.

#include <string>

#include "server/base/result.hpp"

namespace fixwright::notify {

/// The file's first line. Fails with one line: it can't be read, it is empty, or others than its
/// owner may read it.
Result<std::string> read_secret(const std::string& path);

}  // namespace fixwright::notify
