#pragma once
/// Times between proto and model. A proto Timestamp reaches from year 1 to 9999, ours from 1678
/// to 2261; what ours cannot hold becomes one of two values that ingest refuses by name.

#include <google/protobuf/duration.pb.h>
#include <google/protobuf/timestamp.pb.h>

#include "server/base/time.hpp"

namespace fixwright::rpc {

/// TimePoint::min() for a time before 1678 or with nanos outside [0, 1e9), TimePoint::max() for
/// one after 2261.
TimePoint from_proto(const google::protobuf::Timestamp& t);

/// Duration::max() or min() for one past 292 years or with nanos out of range or of the other
/// sign: the sign of seconds decides.
Duration from_proto(const google::protobuf::Duration& d);

google::protobuf::Timestamp to_proto(TimePoint t);
google::protobuf::Duration to_proto(Duration d);

}  // namespace fixwright::rpc
