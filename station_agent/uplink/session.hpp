#pragma once
/// One stream to the server, from Hello to its end.

#include <grpcpp/client_context.h>

#include <atomic>
#include <deque>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>

#include "fixwright/station/v1/station.grpc.pb.h"
#include "station_agent/uplink/low_watermark.hpp"
#include "station_agent/uplink/send_window.hpp"
#include "station_agent/uplink/uplink.hpp"
#include "station_agent/uplink/wire.hpp"

namespace fixwright::agent {

enum class SessionEnd {
  delivered,  // all is acknowledged, or time to stop ran out: nothing more to do
  drained,    // the server goes away and named a time to come back
  renewed,    // the spool began a new stream: connect again at once
  lost,       // see the status
};

struct SessionResult {
  SessionEnd end = SessionEnd::lost;
  grpc::Status status;
  bool welcomed = false;
  Duration reconnect_after{};         // when drained
  std::optional<Duration> keepalive;  // from the Welcome
};

/// What a session works with; all outlive it.
struct SessionTools {
  const UplinkConfig& config;
  Spool& spool;
  const Clock& clock;
  const ClockMonitor& clock_monitor;
  Doorbell& bell;
  const SourceProgress& progress;
  const std::atomic<bool>& stopping;
  LowWatermark& watermark;
  PlanBoard* board;  // null: nobody wants the channel plan
};

class Session {
 public:
  explicit Session(const SessionTools& tools) : tools_(tools) {}
  SessionResult run(wire::StationService::StubInterface& stub);
  /// Safe from any thread, also before and after run().
  void cut() { context_.TryCancel(); }

 private:
  using Stream = grpc::ClientReaderWriterInterface<wire::StationMessage, wire::ServerMessage>;

  void listen();
  bool greet();
  bool await_welcome();
  void take_welcome(const wire::Welcome& welcome);
  void serve();
  void take_inbox();
  void take_plan(const wire::ChannelPlan& plan);
  void take_acknowledgement(const wire::Acknowledgement& acknowledgement);
  bool send_batches();
  bool send_batch(std::uint32_t room);
  bool send_heartbeat();
  [[nodiscard]] bool is_over();
  [[nodiscard]] Duration until_next() const;
  void part();
  std::optional<wire::ServerMessage> next_message();

  SessionTools tools_;
  grpc::ClientContext context_;
  std::unique_ptr<Stream> stream_;
  std::jthread listener_;
  std::mutex inbox_mutex_;
  std::deque<wire::ServerMessage> inbox_;
  std::atomic<bool> closed_{false};

  SessionResult result_;
  std::optional<SendWindow> window_;
  Duration heartbeat_interval_ = std::chrono::seconds{1};
  Duration next_heartbeat_{};  // steady time
  Duration next_batch_{};
  std::optional<Duration> stop_deadline_;
  bool draining_ = false;
};

}  // namespace fixwright::agent
