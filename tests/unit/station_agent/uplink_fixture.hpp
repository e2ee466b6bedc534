#pragma once
/// An uplink with a spool, and what a scripted server saw of it.

#include <gtest/gtest.h>

#include <memory>
#include <mutex>
#include <optional>
#include <utility>
#include <vector>

#include "server/base/clock.hpp"
#include "station_agent/uplink/encode.hpp"
#include "station_agent/uplink/uplink.hpp"
#include "station_agent/uplink/wire.hpp"
#include "tests/unit/station_agent/fake_server.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent {

inline constexpr TimePoint kUplinkStart{std::chrono::seconds{1'900'000'000}};

/// What a script saw; written by the server's threads, read after the uplink ended.
class Seen {
 public:
  void add(const wire::StationMessage& message) {
    const std::lock_guard hold(mutex_);
    if (message.has_heartbeat()) heartbeats_.push_back(message.heartbeat());
    for (const wire::Bearing& b : message.bearings().bearings()) bearings_.push_back(b);
    if (message.has_bearings()) batches_.push_back(message.bearings().bearings_size());
  }
  std::vector<std::uint64_t> sequences() {
    const std::lock_guard hold(mutex_);
    std::vector<std::uint64_t> all;
    for (const wire::Bearing& b : bearings_) all.push_back(b.sequence());
    return all;
  }
  std::vector<wire::Bearing> bearings() {
    const std::lock_guard hold(mutex_);
    return bearings_;
  }
  std::vector<wire::Heartbeat> heartbeats() {
    const std::lock_guard hold(mutex_);
    return heartbeats_;
  }
  std::vector<int> batches() {
    const std::lock_guard hold(mutex_);
    return batches_;
  }

 private:
  std::mutex mutex_;
  std::vector<wire::Bearing> bearings_;
  std::vector<wire::Heartbeat> heartbeats_;
  std::vector<int> batches_;
};

class UplinkToFakeServer : public testing::Test {
 protected:
  void append(int n) {
    std::vector<SpoolItem> items;
    for (int i = 0; i < n; ++i) {
      const SourceBearing b{.start = kUplinkStart + std::chrono::milliseconds{100} * next_++,
                            .frequency_hz = 1e8,
                            .azimuth_deg = 10.0,
                            .sigma_deg = 2.0};
      items.push_back(encode(b, {ClockState::synchronised, std::chrono::milliseconds{5}}));
    }
    ASSERT_TRUE(spool->append(items, clock.now()).ok());
  }
  /// Runs until everything is acknowledged; a hang is the test's failure, by its timeout.
  void deliver(const FakeServer& server) {
    UplinkConfig c = config;
    c.server = server.address();
    Uplink uplink(c, *spool, clock, clock_monitor, &board);
    uplink.appended(watermark);
    uplink.finish();
    uplink.run();
  }

  TempFolder folder;
  std::unique_ptr<Spool> spool = std::move(Spool::open(folder.path() / "spool", {})).value();
  ManualClock clock{kUplinkStart + std::chrono::seconds{60}};
  FixedClockMonitor clock_monitor{{ClockState::holdover, std::chrono::milliseconds{40}}};
  TimePoint watermark = kUplinkStart + std::chrono::seconds{58};
  UplinkConfig config{.server = {},
                      .station = "HILL-1",
                      .agent_version = "test",
                      .position = StationPosition{41.0, -150.0, 200.0, std::nullopt},
                      .capabilities = {Capability::lines},
                      .batch_interval = std::chrono::milliseconds{1},
                      .backoff = {std::chrono::milliseconds{1}, std::chrono::milliseconds{5}},
                      .refused_retry = std::chrono::milliseconds{5},
                      .shutdown = std::chrono::milliseconds{300}};
  Seen seen;
  PlanBoard board;
  int next_ = 0;
};

/// Reads until the stream has brought the bearing with this sequence.
inline void read_through(ServerStream& stream, Seen& seen, std::uint64_t sequence) {
  wire::StationMessage message;
  while (stream.Read(&message)) {
    seen.add(message);
    const auto& bearings = message.bearings().bearings();
    if (!bearings.empty() && bearings.rbegin()->sequence() >= sequence) return;
  }
}

inline void read_to_end(ServerStream& stream, Seen& seen) {
  wire::StationMessage message;
  while (stream.Read(&message)) seen.add(message);
}

}  // namespace fixwright::agent
