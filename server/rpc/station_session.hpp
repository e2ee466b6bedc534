#pragma once
/// One station's stream, from its Hello to its end.

#include <grpcpp/alarm.h>
#include <grpcpp/support/byte_buffer.h>
#include <grpcpp/support/server_callback.h>

#include <cstdint>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "fixwright/station/v1/station.pb.h"
#include "server/base/metrics.hpp"
#include "server/rpc/live_streams.hpp"
#include "server/rpc/outgoing.hpp"
#include "server/rpc/station_port.hpp"
#include "server/rpc/workers.hpp"

namespace fixwright::rpc {

namespace station_v1 = fixwright::station::v1;

/// What all sessions share. Everything outlives them.
struct SessionParts {
  StationPort& port;
  Workers& workers;
  LiveStreams& streams;
  Metrics& metrics;
  Duration hello_timeout;
  Duration reconnect_after;
  Duration keepalive;
};

/// Reads and writes bytes, not messages, so that bytes that are no message end the stream with a
/// line that says so; gRPC's own parsing makes them look like the end of a sound stream.
///
/// The port is never called with mutex_ held, nor from inside its own done(): close() may wait
/// for a done() that waits for us.
class StationSession final : public grpc::ServerBidiReactor<grpc::ByteBuffer, grpc::ByteBuffer>,
                             public LiveStream,
                             public std::enable_shared_from_this<StationSession> {
 public:
  StationSession(SessionParts parts, std::string peer);

  void start();
  void drain() override;

  void OnReadDone(bool ok) override;
  void OnWriteDone(bool ok) override;
  void OnCancel() override;
  void OnDone() override;

 private:
  enum class Phase { awaiting_hello, opening, streaming };

  void handle_message();
  void handle_hello(const station_v1::Hello& hello);
  void handle_batch(const station_v1::BearingBatch& batch);
  void handle_heartbeat(const station_v1::Heartbeat& heartbeat);
  void read_next();

  void open(const HelloRequest& request);                    // on a worker
  void opened(std::variant<Grant, OpenDenied> outcome);      // on a worker
  void batch_done(std::size_t count, BatchOutcome outcome);  // on the port's thread
  void close_and_finish();                                   // on a worker

  // With mutex_ held:
  std::optional<grpc::Status> limit_passed(std::size_t count);
  void write_next();
  void end_when_settled();
  void end(grpc::Status status);
  void finish_when_idle();

  [[nodiscard]] std::string who() const;
  void note_spool(const station_v1::Heartbeat& heartbeat);

  const SessionParts parts_;
  const std::string peer_;
  grpc::Alarm hello_alarm_;

  // Only the read reactions touch these.
  grpc::ByteBuffer read_buffer_;
  station_v1::StationMessage message_;  // reused: parsing into warm objects is cheap
  std::uint64_t messages_read_ = 0;

  std::mutex mutex_;
  Phase phase_ = Phase::awaiting_hello;
  std::string station_;  // once the Hello is sound
  std::optional<SessionId> session_;
  Limits limits_;
  Outgoing outgoing_;
  std::size_t batches_open_ = 0;  // submitted, done() has not come
  std::size_t in_flight_ = 0;     // bearings received and not yet acknowledged
  std::size_t settled_ = 0;       // of these, done, their acknowledgement not yet written
  bool half_closed_ = false;
  bool draining_ = false;
  bool writing_ = false;
  bool ending_ = false;
  bool closed_ = false;
  bool finished_ = false;
  grpc::Status status_;
};

}  // namespace fixwright::rpc
