#pragma once
/// From our values to the wire's and back.

#include "fixwright/station/v1/station.pb.h"
#include "server/base/time.hpp"
#include "station_agent/clock/clock_state.hpp"
#include "station_agent/spool/spool.hpp"

namespace fixwright::agent {

namespace wire = ::fixwright::station::v1;

/// What encode() made, with its sequence. \return false for bytes that are no Bearing.
bool decode(const SpooledBearing& spooled, wire::Bearing& bearing);

void set_time(TimePoint t, google::protobuf::Timestamp& out);
void set_duration(Duration d, google::protobuf::Duration& out);
/// Negative ones become 0, those past a day a day: no duration of the contract is longer.
Duration duration_of(const google::protobuf::Duration& d);
wire::ClockState wire_clock_state(ClockState state);

}  // namespace fixwright::agent
