#include "server/rpc/station_session.hpp"

#include <fmt/core.h>
#include <grpcpp/impl/codegen/proto_utils.h>

#include <chrono>
#include <exception>
#include <utility>

#include "server/base/log.hpp"
#include "server/rpc/convert_station.hpp"
#include "server/rpc/status.hpp"

namespace fixwright::rpc {

namespace {

using grpc::StatusCode;

bool parse(grpc::ByteBuffer& bytes, station_v1::StationMessage& message) {
  return grpc::SerializationTraits<station_v1::StationMessage>::Deserialize(&bytes, &message).ok();
}

}  // namespace

StationSession::StationSession(SessionParts parts, std::string peer)
    : parts_(parts), peer_(std::move(peer)) {}

void StationSession::start() {
  const auto deadline = std::chrono::system_clock::now() + parts_.hello_timeout;
  hello_alarm_.Set(std::chrono::time_point_cast<std::chrono::system_clock::duration>(deadline),
                   [weak = weak_from_this()](bool expired) {
                     const auto self = weak.lock();
                     if (!expired || !self) return;
                     const std::lock_guard lock(self->mutex_);
                     if (self->phase_ != Phase::awaiting_hello) return;
                     self->end({StatusCode::INVALID_ARGUMENT,
                                "no Hello came in time; it must be the first message"});
                   });
  read_next();
}

void StationSession::drain() {
  const std::lock_guard lock(mutex_);
  if (draining_ || ending_) return;
  draining_ = true;
  if (phase_ == Phase::opening) return;  // opened() sees it
  if (phase_ == Phase::streaming) outgoing_.drain(parts_.reconnect_after);
  write_next();
  end_when_settled();
}

void StationSession::read_next() { StartRead(&read_buffer_); }

void StationSession::OnReadDone(bool ok) {
  if (ok) {
    ++messages_read_;
    handle_message();
    return;
  }
  const std::lock_guard lock(mutex_);
  half_closed_ = true;
  end_when_settled();
}

void StationSession::handle_message() {
  Phase phase{};
  {
    const std::lock_guard lock(mutex_);
    // What comes after Drain was sent is not taken: the station sends it again elsewhere.
    if (ending_ || draining_) return;
    phase = phase_;
  }
  const auto refuse = [this](const std::string& why) {
    const std::lock_guard lock(mutex_);
    end({StatusCode::INVALID_ARGUMENT, why});
  };
  if (!parse(read_buffer_, message_)) {
    return refuse(
        fmt::format("message {} of the stream is no fixwright.station.v1.StationMessage, "
                    "or has text that is not UTF-8; mend the agent",
                    messages_read_));
  }
  const bool is_hello = message_.message_case() == station_v1::StationMessage::kHello;
  if (phase == Phase::awaiting_hello) {
    if (is_hello) return handle_hello(message_.hello());
    return refuse("the first message must be a Hello");
  }
  if (is_hello) return refuse("a second Hello; open a new stream instead");
  if (message_.has_bearings()) return handle_batch(message_.bearings());
  if (message_.has_heartbeat()) handle_heartbeat(message_.heartbeat());
  read_next();  // any other message is of a newer agent and asks nothing of us
}

void StationSession::handle_hello(const station_v1::Hello& hello) {
  const std::lock_guard lock(mutex_);
  if (const auto problem = hello_problem(hello)) {
    return end({StatusCode::INVALID_ARGUMENT, *problem});
  }
  if (ending_) return;
  phase_ = Phase::opening;
  station_ = hello.station();
  parts_.workers.post(
      [self = shared_from_this(), request = from_proto(hello, peer_)] { self->open(request); });
}

void StationSession::open(const HelloRequest& request) {
  try {
    opened(parts_.port.open(request));
  } catch (const std::exception& away) {
    opened(OpenDenied{OpenRefusal::unavailable, away.what()});
  }
}

void StationSession::opened(std::variant<Grant, OpenDenied> outcome) {
  bool ended = false;
  {
    const std::lock_guard lock(mutex_);
    phase_ = Phase::streaming;
    if (auto* grant = std::get_if<Grant>(&outcome)) {
      session_ = grant->session;
      limits_ = grant->limits;
      if (grant->keepalive_interval <= Duration{0}) grant->keepalive_interval = parts_.keepalive;
      outgoing_.welcome(*grant);
    }
    if (ending_) {  // while the port thought; the end was left to us
      ended = true;
    } else if (const auto* denied = std::get_if<OpenDenied>(&outcome)) {
      end(to_status(*denied));
    } else {
      if (draining_) outgoing_.drain(parts_.reconnect_after);
      write_next();
      read_next();
    }
  }
  if (ended) close_and_finish();
}

void StationSession::handle_batch(const station_v1::BearingBatch& batch) {
  const auto count = static_cast<std::size_t>(batch.bearings_size());
  {
    const std::lock_guard lock(mutex_);
    if (ending_ || draining_) return;
    if (auto status = limit_passed(count)) return end(*std::move(status));
    in_flight_ += count;
    ++batches_open_;
  }
  std::vector<Bearing> bearings;
  bearings.reserve(count);
  for (const auto& bearing : batch.bearings()) bearings.push_back(from_proto(bearing));
  parts_.port.submit(*session_, std::move(bearings),
                     [weak = weak_from_this(), count](BatchOutcome outcome) {
                       if (const auto self = weak.lock()) {
                         self->batch_done(count, std::move(outcome));
                       }
                     });
  read_next();
}

std::optional<grpc::Status> StationSession::limit_passed(std::size_t count) {
  if (count > limits_.max_batch) {
    return grpc::Status{StatusCode::RESOURCE_EXHAUSTED,
                        fmt::format("a batch of {} bearings, at most {} (Limits.max_batch)", count,
                                    limits_.max_batch)};
  }
  if (in_flight_ + count <= limits_.max_in_flight) return std::nullopt;
  return grpc::Status{
      StatusCode::RESOURCE_EXHAUSTED,
      fmt::format("{} bearings sent and not acknowledged, at most {} (Limits.max_in_flight)",
                  in_flight_ + count, limits_.max_in_flight)};
}

void StationSession::batch_done(std::size_t count, BatchOutcome outcome) {
  const std::lock_guard lock(mutex_);
  --batches_open_;
  if (ending_) return;
  if (const auto* denied = std::get_if<BatchDenied>(&outcome)) return end(to_status(*denied));
  settled_ += count;
  outgoing_.acknowledge(std::get<BatchDone>(std::move(outcome)));
  write_next();
}

void StationSession::handle_heartbeat(const station_v1::Heartbeat& heartbeat) {
  note_spool(heartbeat);
  parts_.port.heartbeat(*session_, from_proto(heartbeat));
}

void StationSession::note_spool(const station_v1::Heartbeat& heartbeat) {
  const Labels labels{{"station", station_}};
  parts_.metrics
      .gauge("fixwright_station_spooled_bearings",
             "Bearings that wait in the station's spool, by its last heartbeat.", labels)
      .set(static_cast<double>(heartbeat.spooled_bearings()));
  parts_.metrics
      .gauge("fixwright_station_dropped_bearings",
             "Bearings that a full spool dropped, by the station's last heartbeat.", labels)
      .set(static_cast<double>(heartbeat.dropped_bearings()));
}

void StationSession::write_next() {
  if (writing_ || ending_ || outgoing_.empty()) return;
  if (outgoing_.next_acknowledges()) {
    // Before the write, not after: the station may have it, and send more, before we are told.
    in_flight_ -= settled_;
    settled_ = 0;
  }
  writing_ = true;
  StartWrite(&outgoing_.next());
}

void StationSession::OnWriteDone(bool ok) {
  const std::lock_guard lock(mutex_);
  writing_ = false;
  if (!ok) end({StatusCode::CANCELLED, "the connection is gone"});
  write_next();
  end_when_settled();
  finish_when_idle();
}

void StationSession::end_when_settled() {
  const bool leaving = half_closed_ || draining_;
  if (!leaving || ending_ || phase_ == Phase::opening) return;
  if (batches_open_ > 0 || writing_ || !outgoing_.empty()) return;
  if (draining_) return end({StatusCode::UNAVAILABLE, "the server goes away; connect again"});
  if (phase_ == Phase::awaiting_hello) {
    return end({StatusCode::INVALID_ARGUMENT, "the stream ended before its Hello"});
  }
  end(grpc::Status::OK);
}

void StationSession::OnCancel() {
  const std::lock_guard lock(mutex_);
  end({StatusCode::CANCELLED, "the station or the connection is gone"});
}

void StationSession::end(grpc::Status status) {
  if (ending_) return;
  ending_ = true;
  status_ = std::move(status);
  hello_alarm_.Cancel();
  const bool expected = status_.ok() || draining_ || status_.error_code() == StatusCode::CANCELLED;
  if (!expected) {
    const std::string_view code = code_name(status_.error_code());
    log::warn("{}: session {}: {}: {}", who(), session_ ? "ended" : "refused", code,
              status_.error_message());
    parts_.metrics
        .counter("fixwright_sessions_refused", "Sessions refused or ended by us, by status.",
                 {{"status", std::string(code)}})
        .add();
  }
  if (phase_ == Phase::opening) return;  // opened() goes on
  parts_.workers.post([self = shared_from_this()] { self->close_and_finish(); });
}

std::string StationSession::who() const {
  return station_.empty() ? fmt::format("agent at {}", peer_)
                          : fmt::format("station {} at {}", station_, peer_);
}

/// The port first: when the station sees the end, it may connect again at once and must not be
/// told that it is still connected.
void StationSession::close_and_finish() {
  if (session_) {
    try {
      parts_.port.close(*session_);
    } catch (const std::exception& problem) {
      log::error("{}: closing the session failed: {}", who(), problem.what());
    }
  }
  const std::lock_guard lock(mutex_);
  closed_ = true;
  finish_when_idle();
}

void StationSession::finish_when_idle() {
  if (!closed_ || writing_ || finished_) return;
  finished_ = true;
  Finish(status_);
}

void StationSession::OnDone() { parts_.streams.remove(this); }

}  // namespace fixwright::rpc
