#pragma once
/// What the machine beside the receiver must bring: time, place, a way to the server, disk.

#include <filesystem>
#include <optional>
#include <string>

#include "server/base/time.hpp"
#include "station_agent/check/finding.hpp"
#include "station_agent/clock/clock_state.hpp"
#include "station_agent/position/drive_log.hpp"
#include "station_agent/spool/spool.hpp"
#include "station_agent/uplink/probe.hpp"
#include "station_agent/uplink/uplink.hpp"

namespace fixwright::agent::check {

/// A bound below this is worth no word: transmissions of two stations still overlap.
inline constexpr Duration kGoodClockError = std::chrono::milliseconds{100};
/// Past this the server calls a clock bad (alert.max_clock_error_s as delivered).
inline constexpr Duration kBadClockError = std::chrono::milliseconds{500};

Finding check_clock(const ClockReading& reading);

/// Of a fixed station: what the configuration says.
Finding check_fixed_position(const std::optional<StationPosition>& position);
/// Of a station that moves: what its receiver says now.
Finding check_moving_position(const Whereabouts& now);

Finding check_server(const ServerProbe& probe, const UplinkConfig& uplink);

/// Bytes on disk for one bearing that waits, with its share of SQLite's pages: a full one, with
/// label and eight alternatives, takes 294 (measured in tests/unit/station_agent/check).
inline constexpr double kSpoolBytesPerBearing = 320.0;

/// How the spool's folder stands; what cannot be found out is told in `problem`.
struct SpoolSpace {
  std::string path;
  std::string problem;      // one line: no such folder, not writable
  double free_bytes = 0.0;  // for this user, in the folder's file system
  double file_bytes = 0.0;  // the spool has already
  std::uint64_t max_bearings = 0;
};
SpoolSpace look_at_spool(const std::filesystem::path& path, const SpoolLimits& limits);
Finding check_spool(const SpoolSpace& space);

}  // namespace fixwright::agent::check
