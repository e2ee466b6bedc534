#pragma once
/// What chrony says of the clock, as `chronyc -c tracking` prints it.
///
/// Why the command and not chrony's own protocol: the output of `-c` is what chronyc(1) offers to
/// programs, and stays; the protocol is chrony's private matter and changes with its versions.
/// The kernel's word is not enough: without `rtcsync` in its configuration chrony leaves the
/// kernel flagged as undisciplined (chrony.conf(5)).

#include <optional>
#include <string_view>

#include "station_agent/clock/clock_state.hpp"

namespace fixwright::agent {

/// Times in seconds as RFC 5905 means them: root delay is the round trip to the primary server,
/// root dispersion the error gathered on the way and since the last update.
struct ChronyTracking {
  bool synchronised = false;       // leap status is not "Not synchronised", and a source is named
  TimePoint reference_time;        // of the last update, by the host's clock
  double offset_s = 0.0;           // what the system clock is still off by
  double root_delay_s = 0.0;       // >= 0
  double root_dispersion_s = 0.0;  // >= 0
  double update_interval_s = 0.0;  // between the last two updates, >= 0
};

/// Nothing for any line that is not what chronyc prints. The `local` directive's own reference
/// (7F7F0101: the host's undisciplined clock) counts as not synchronised.
std::optional<ChronyTracking> parse_tracking(std::string_view line);

/// The bound: |offset| + root dispersion + root delay / 2 (chronyc(1), "Root dispersion"), which
/// is the root distance of RFC 5905 without its jitter term, beside what is left to correct.
/// Holdover when no update came for eight intervals (the eight polls of RFC 5905's reachability
/// register) or the bound is past kHoldoverError; an interval counts as at least a second.
ClockReading reading_of(const ChronyTracking& tracking, TimePoint now);

}  // namespace fixwright::agent
