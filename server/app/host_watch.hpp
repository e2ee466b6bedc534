#pragma once
/// Measures the room that the server's machine and its database have left.

#include <functional>
#include <string>
#include <vector>

#include "server/app/poller.hpp"
#include "server/base/clock.hpp"
#include "server/model/host_state.hpp"
#include "server/store/database.hpp"

namespace fixwright::app {

class HostWatch {
 public:
  /// Measures at once and then every minute. `tell` is called from its thread.
  /// \param disks  a path on each; one that can't be measured is told in the log.
  HostWatch(std::vector<std::string> disks, store::Database& database, const Clock& clock,
            std::function<void(HostState)> tell);

 private:
  void look();

  const std::vector<std::string> disks_;
  store::Database& database_;
  const Clock& clock_;
  std::function<void(HostState)> tell_;
  Poller poller_;  // last: it looks when all else is there
};

/// \return nothing when the path is on no disk that can be measured.
std::optional<DiskState> measure_disk(const std::string& path);

}  // namespace fixwright::app
