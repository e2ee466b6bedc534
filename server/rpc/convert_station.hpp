#pragma once
/// Uplink messages between proto and model. Nothing is judged here except the Hello: a value
/// that is out of range passes as it is, and ingest refuses it by name.

#include <optional>
#include <string>

#include "fixwright/station/v1/station.pb.h"
#include "server/model/bearing.hpp"
#include "server/model/station.hpp"
#include "server/rpc/station_port.hpp"

namespace fixwright::rpc {

namespace station_v1 = fixwright::station::v1;

/// A bearing as it came. Absent start_time: TimePoint::min(); absent clock_error:
/// Duration::min(); absent integration: 0; absent channel: 0, and a channel of 0 that was sent:
/// -1, which no plan has. Flags that this version does not know are dropped.
Bearing from_proto(const station_v1::Bearing& b);

/// Absent times as above; a clock state that is not known is unsynchronised.
Heartbeat from_proto(const station_v1::Heartbeat& h);

/// What is wrong with a Hello: field, value, rule. Nothing when it is sound.
std::optional<std::string> hello_problem(const station_v1::Hello& hello);

/// \pre !hello_problem(hello). peer is the address of the other side.
HelloRequest from_proto(const station_v1::Hello& hello, const std::string& peer);

station_v1::ChannelPlan to_proto(const ChannelPlan& plan);
station_v1::Welcome to_proto(const Grant& grant);

}  // namespace fixwright::rpc
