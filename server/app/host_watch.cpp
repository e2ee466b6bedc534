#include "server/app/host_watch.hpp"

#include <sys/statvfs.h>

#include <chrono>
#include <stdexcept>
#include <utility>

#include "server/store/database_state.hpp"

namespace fixwright::app {

namespace {

constexpr std::chrono::minutes kInterval{1};

}  // namespace

std::optional<DiskState> measure_disk(const std::string& path) {
  struct statvfs disk {};
  if (statvfs(path.c_str(), &disk) != 0 || disk.f_blocks == 0) return std::nullopt;
  // f_bavail: what is left to a program that isn't root's.
  return DiskState{path, disk.f_bavail * disk.f_frsize, disk.f_blocks * disk.f_frsize};
}

HostWatch::HostWatch(std::vector<std::string> disks, store::Database& database, const Clock& clock,
                     std::function<void(HostState)> tell)
    : disks_(std::move(disks)),
      database_(database),
      clock_(clock),
      tell_(std::move(tell)),
      poller_({kInterval, "the room that is left is not measured"}, [this] { look(); }) {}

void HostWatch::look() {
  HostState state;
  state.at = clock_.now();
  std::string missing;
  for (const std::string& path : disks_) {
    if (auto disk = measure_disk(path)) {
      state.disks.push_back(std::move(*disk));
    } else {
      missing = path;
    }
  }
  try {
    state.database = store::measure_database(database_);
  } catch (const store::DatabaseAway&) {  // the disks are told all the same
  }
  tell_(std::move(state));
  if (!missing.empty()) throw std::runtime_error("alert.disks: no disk at " + missing);
}

}  // namespace fixwright::app
