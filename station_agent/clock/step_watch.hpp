#pragma once
/// Notices that somebody set the host's clock.

#include <optional>

#include "server/base/time.hpp"

namespace fixwright::agent {

/// Both clocks of the host, read at one moment.
struct HostTimes {
  TimePoint utc;        // CLOCK_REALTIME: may be set
  Duration since_boot;  // CLOCK_BOOTTIME: never set, runs on while the host sleeps
};

/// Reads both within 1 ms of one another, or as close as five tries come.
HostTimes read_host_times();

/// The two clocks are slewed together, so their difference changes only when UTC is set or a leap
/// second comes (clock_gettime(2), adjtimex(2)).
class StepWatch {
 public:
  /// \return by how much UTC was set since the last look, when that is 10 ms or more: less may be
  ///   the reading itself on a busy host.
  std::optional<Duration> look(const HostTimes& times);

 private:
  std::optional<Duration> difference_;
};

}  // namespace fixwright::agent
