#include "server/notify/secret.hpp"

#include <fmt/core.h>
#include <sys/stat.h>

#include <fstream>

namespace fixwright::notify {

Result<std::string> read_secret(const std::string& path) {
  struct stat about {};
  if (stat(path.c_str(), &about) != 0) {
    return Error{fmt::format("{}: can't be read; it must hold the secret", path)};
  }
  if ((about.st_mode & (S_IRWXG | S_IRWXO)) != 0) {
    return Error{fmt::format("{}: others may read it: chmod 600 {}", path, path)};
  }
  std::ifstream file(path);
  std::string secret;
  if (!std::getline(file, secret) || secret.empty()) {
    return Error{fmt::format("{}: its first line must be the secret", path)};
  }
  return secret;
}

}  // namespace fixwright::notify
