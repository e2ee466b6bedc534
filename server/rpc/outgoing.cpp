#include "server/rpc/outgoing.hpp"

#include <grpcpp/impl/codegen/proto_utils.h>

#include <algorithm>
#include <cassert>
#include <iterator>
#include <utility>

#include "server/rpc/convert_station.hpp"
#include "server/rpc/convert_time.hpp"

namespace fixwright::rpc {

void Outgoing::welcome(const Grant& grant) {
  welcome_ = grant;
  acknowledged_sequence_ = grant.acknowledged_sequence;
}

void Outgoing::acknowledge(BatchDone done) {
  acknowledge_ = true;
  acknowledged_sequence_ = std::max(acknowledged_sequence_, done.acknowledged_sequence);
  std::move(done.refusals.begin(), done.refusals.end(), std::back_inserter(refusals_));
}

void Outgoing::drain(Duration reconnect_after) { drain_ = reconnect_after; }

const grpc::ByteBuffer& Outgoing::next() {
  assert(!empty());
  message_.Clear();
  fill();
  bool own_buffer = false;
  buffer_.Clear();
  const grpc::Status status = grpc::SerializationTraits<station_v1::ServerMessage>::Serialize(
      message_, &buffer_, &own_buffer);
  assert(status.ok());  // only a message past 2 GB fails
  static_cast<void>(status);
  return buffer_;
}

void Outgoing::fill() {
  if (welcome_) {
    *message_.mutable_welcome() = to_proto(*welcome_);
    welcome_.reset();
    return;
  }
  if (!acknowledge_) {
    *message_.mutable_drain()->mutable_reconnect_after() = to_proto(*drain_);
    drain_.reset();
    return;
  }
  auto& acknowledgement = *message_.mutable_acknowledgement();
  acknowledgement.set_acknowledged_sequence(acknowledged_sequence_);
  for (RefusedBearing& refused : refusals_) {
    auto& refusal = *acknowledgement.add_refusals();
    refusal.set_sequence(refused.sequence);
    refusal.set_reason(std::move(refused.reason));
    refusal.set_message(std::move(refused.message));
  }
  refusals_.clear();
  acknowledge_ = false;
}

}  // namespace fixwright::rpc
