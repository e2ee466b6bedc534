#pragma once
/// What people and programs are shown: stored values with the names and verdicts beside them.

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "server/model/alert.hpp"
#include "server/model/emitter.hpp"
#include "server/model/licence.hpp"
#include "server/model/station.hpp"

namespace fixwright {

/// An emitter as people see it: with what the register says, and what a person said of it.
struct EmitterView {
  Emitter emitter;
  std::optional<RegisterMatch> match;
  std::optional<std::string> name;
  bool watched = false;
  std::optional<EmitterKey> merged_into;  // a person declared it one with this
};

struct AlertView {
  Alert alert;
  std::optional<TimePoint> acknowledged_at;
  std::string acknowledged_by = {};
};

struct EmitterFilter {
  std::vector<EmitterState> states;  // none: all but retired
  std::optional<double> min_frequency_hz;
  std::optional<double> max_frequency_hz;
  std::optional<TimePoint> heard_since;
  std::size_t limit = 100;
  /// Only those after this one in the order (last_heard falling, then key rising).
  std::optional<std::pair<TimePoint, EmitterKey>> after;
};

/// One bearing of a stored fix, with what it said.
struct FixBearingView {
  FixBearing part;
  double azimuth_deg = 0.0;
  double sigma_deg = 0.0;
};

struct FixView {
  Fix fix;
  std::vector<FixBearingView> bearings;
};

struct StationView {
  Station station;
  bool connected = false;
  std::optional<TimePoint> last_heartbeat;
  Duration clock_error{};
  std::uint64_t bearings_admitted = 0;
  std::uint64_t bearings_refused = 0;
  std::string agent_version;
};

}  // namespace fixwright
