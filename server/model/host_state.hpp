#pragma once
/// How much room the server's machine and its database have left.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "server/base/time.hpp"

namespace fixwright {

struct DiskState {
  std::string path;  // as configured
  std::uint64_t free_bytes = 0;
  std::uint64_t total_bytes = 0;  // > 0
};

struct DatabaseState {
  std::uint64_t size_bytes = 0;
  int connections = 0;
  int most_connections = 1;  // > 0
};

struct HostState {
  TimePoint at;  // by the server's clock
  std::vector<DiskState> disks;
  std::optional<DatabaseState> database;  // nothing while it is away
};

}  // namespace fixwright
