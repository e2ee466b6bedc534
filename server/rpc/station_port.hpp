#pragma once
/// What the uplink service needs of the rest of the server. `app` implements it; rpc knows no
/// database and no pipeline.

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "server/base/geo.hpp"
#include "server/model/bearing.hpp"
#include "server/model/channel.hpp"
#include "server/model/station.hpp"

namespace fixwright::rpc {

struct HelloRequest {
  std::string station;
  std::string agent_version;
  StreamId stream = 0;
  std::optional<GeoPoint> position;
  std::string peer;  // address, for log lines
};

struct Limits {
  std::uint32_t max_batch = 0;
  std::uint32_t max_bearings_per_second = 0;
  std::uint32_t max_in_flight = 0;
};

struct ChannelPlan {
  std::vector<Channel> channels;
  double raster_hz = 0.0;
};

using SessionId = std::uint64_t;

struct Grant {
  SessionId session = 0;
  std::uint64_t acknowledged_sequence = 0;
  ChannelPlan plan;
  Limits limits;
  Duration heartbeat_interval{};
  Duration keepalive_interval{};
};

enum class OpenRefusal { unknown_station, already_connected, disagrees, unavailable };

struct OpenDenied {
  OpenRefusal reason = OpenRefusal::unavailable;
  std::string message;  // one line for the agent's log
};

/// One bearing that was refused for good.
struct RefusedBearing {
  std::uint64_t sequence = 0;
  std::string reason;   // one word
  std::string message;  // one line
};

/// The end of one batch: everything up to the sequence is durable or refused for good.
struct BatchDone {
  std::uint64_t acknowledged_sequence = 0;
  std::vector<RefusedBearing> refusals;
};

/// A batch was not taken: the session ends with RESOURCE_EXHAUSTED or UNAVAILABLE.
struct BatchDenied {
  bool over_limit = false;  // else: unavailable
  std::string message;
};

using BatchOutcome = std::variant<BatchDone, BatchDenied>;

class StationPort {
 public:
  StationPort() = default;
  StationPort(const StationPort&) = delete;
  StationPort& operator=(const StationPort&) = delete;
  virtual ~StationPort() = default;

  virtual std::variant<Grant, OpenDenied> open(const HelloRequest& hello) = 0;

  /// Takes a batch as sent: keys' station and, where absent, channel and station position are
  /// filled in by the port. `done` is called once, from any thread, after the commit; never
  /// after close() returned.
  virtual void submit(SessionId session, std::vector<Bearing> bearings,
                      std::function<void(BatchOutcome)> done) = 0;

  /// received_at and station are filled in by the port.
  virtual void heartbeat(SessionId session, const Heartbeat& heartbeat) = 0;

  /// The stream has ended, whoever ended it.
  virtual void close(SessionId session) = 0;
};

}  // namespace fixwright::rpc
