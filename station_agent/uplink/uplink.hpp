#pragma once
/// Carries what the spool holds to the server, for as long as it takes.

#include <atomic>
#include <cstdint>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "server/base/clock.hpp"
#include "station_agent/clock/clock_state.hpp"
#include "station_agent/source/plan_board.hpp"
#include "station_agent/spool/spool.hpp"
#include "station_agent/uplink/backoff.hpp"
#include "station_agent/uplink/doorbell.hpp"

namespace fixwright::agent {

struct StationPosition {
  double latitude_deg = 0.0;
  double longitude_deg = 0.0;
  std::optional<double> height_m;          // of the antenna above the ellipsoid
  std::optional<double> position_sigma_m;  // one standard deviation on each axis
};

/// What the agent can do; values of fixwright.station.v1.Capability.
enum class Capability { lines = 1, simulated = 2, alternatives = 3, level = 4 };

struct UplinkConfig {
  std::string server;   // host:port
  std::string station;  // as registered at the server
  std::string agent_version;
  std::optional<StationPosition> position;
  std::vector<Capability> capabilities;
  Duration batch_interval = std::chrono::milliseconds{200};  // > 0
  std::uint32_t max_batch = 500;                             // and never more than the server's
  BackoffRule backoff;
  Duration refused_retry = std::chrono::seconds{10};  // when only a person can help
  Duration welcome_timeout = std::chrono::seconds{10};
  Duration watermark_hold = std::chrono::seconds{30};
  Duration shutdown = std::chrono::seconds{5};    // to deliver what waits, when stopping
  Duration keepalive = std::chrono::seconds{20};  // until a Welcome names the server's own
};

/// What the source's thread tells the uplink's.
struct SourceProgress {
  std::atomic<Duration::rep> low_watermark_ns{0};  // set after the bearings before it are kept
  std::atomic<bool> ended{false};                  // leave when all is acknowledged
};

class LowWatermark;
class Session;
struct SessionResult;

/// One thread runs it; any thread may ring, finish or stop it.
class Uplink {
 public:
  /// \param board  gets the server's channel plan; null: nobody wants it.
  Uplink(UplinkConfig config, Spool& spool, const Clock& clock, const ClockMonitor& clock_monitor,
         PlanBoard* board = nullptr);
  Uplink(const Uplink&) = delete;
  Uplink& operator=(const Uplink&) = delete;
  ~Uplink();

  /// Connects, sends, connects again. Returns after stop(), or when the source has ended and
  /// all is acknowledged.
  void run();

  /// Bearings were appended; and nothing live will start before `low_watermark` any more.
  void appended(TimePoint low_watermark);
  /// The source ended: run() returns once everything is acknowledged.
  void finish();
  /// Delivers what it can within UplinkConfig::shutdown, then run() returns.
  void stop();
  /// Cuts the stream: for a server that takes nothing more, not even the farewell.
  void cut();

 private:
  SessionResult run_session(LowWatermark& watermark, Duration keepalive);
  Duration wait_after(const SessionResult& result, Backoff& backoff);
  void wait_before_next(Duration wait);
  void say(const std::string& line, bool needs_person, Duration wait);
  [[nodiscard]] bool is_done() const;

  UplinkConfig config_;
  Spool& spool_;
  const Clock& clock_;
  const ClockMonitor& clock_monitor_;
  PlanBoard* board_;
  Doorbell bell_;
  SourceProgress progress_;
  std::atomic<bool> stopping_{false};
  std::string last_said_;
  std::mutex session_mutex_;
  Session* session_ = nullptr;  // while one runs
};

}  // namespace fixwright::agent
