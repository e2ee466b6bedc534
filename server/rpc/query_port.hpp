#pragma once
/// What the query service needs of the rest of the server; `app` implements it over the store.

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "server/model/alert.hpp"
#include "server/model/emitter.hpp"
#include "server/model/licence.hpp"
#include "server/model/station.hpp"

namespace fixwright::rpc {

/// An emitter as people see it: with what the register says and a person's name for it.
struct EmitterView {
  Emitter emitter;
  std::optional<RegisterMatch> match;
  std::optional<std::string> name;
};

struct AlertView {
  Alert alert;
  std::optional<TimePoint> acknowledged_at;
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

/// Destroying it ends the subscription; no call comes after that.
class Subscription {
 public:
  Subscription() = default;
  Subscription(const Subscription&) = delete;
  Subscription& operator=(const Subscription&) = delete;
  virtual ~Subscription() = default;
};

/// Calls throw std::exception when the database is away: the service answers UNAVAILABLE.
class QueryPort {
 public:
  QueryPort() = default;
  QueryPort(const QueryPort&) = delete;
  QueryPort& operator=(const QueryPort&) = delete;
  virtual ~QueryPort() = default;

  virtual std::vector<EmitterView> emitters(const EmitterFilter& filter) = 0;
  virtual std::optional<EmitterView> emitter(EmitterKey key) = 0;
  virtual std::vector<FixView> fixes(EmitterKey key, std::size_t limit) = 0;
  virtual std::vector<AlertView> open_alerts() = 0;
  virtual std::vector<StationView> stations() = 0;

  /// `each` is called from the writer's thread for every stored change; it must be quick.
  virtual std::unique_ptr<Subscription> watch_emitters(
      std::function<void(const EmitterView&)> each) = 0;
  virtual std::unique_ptr<Subscription> watch_alerts(
      std::function<void(const AlertView&)> each) = 0;
};

}  // namespace fixwright::rpc
