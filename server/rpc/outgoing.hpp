#pragma once

#include <grpcpp/support/byte_buffer.h>

#include <cstdint>
#include <optional>
#include <vector>

#include "fixwright/station/v1/station.pb.h"
#include "server/rpc/station_port.hpp"

namespace fixwright::rpc {

/// What waits to be told to one station, in the order Welcome, Acknowledgement, Drain. However
/// many batches are done while a write is under way, one Acknowledgement covers them all.
class Outgoing {
 public:
  void welcome(const Grant& grant);
  void acknowledge(BatchDone done);
  void drain(Duration reconnect_after);

  [[nodiscard]] bool empty() const { return !welcome_ && !acknowledge_ && !drain_; }
  /// Whether the next message is an Acknowledgement.
  [[nodiscard]] bool next_acknowledges() const { return !welcome_ && acknowledge_; }
  /// The next message, serialised; valid until the next call. \pre !empty().
  const grpc::ByteBuffer& next();

 private:
  void fill();

  std::optional<Grant> welcome_;
  std::optional<Duration> drain_;
  bool acknowledge_ = false;
  std::uint64_t acknowledged_sequence_ = 0;  // never falls
  std::vector<RefusedBearing> refusals_;
  fixwright::station::v1::ServerMessage message_;  // reused
  grpc::ByteBuffer buffer_;
};

}  // namespace fixwright::rpc
