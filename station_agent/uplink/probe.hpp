#pragma once
/// One greeting to the server, to learn whether it would take this station. No bearing is sent,
/// and the spool is not touched.

#include <string>
#include <vector>

#include "server/base/time.hpp"
#include "station_agent/source/plan_board.hpp"
#include "station_agent/uplink/uplink.hpp"

namespace fixwright::agent {

enum class ProbeOutcome {
  welcomed,
  away,               // nobody listens there, or the server can serve nobody now
  silent,             // no answer within the patience
  unknown_station,    // NOT_FOUND
  already_connected,  // ALREADY_EXISTS: an agent of this name is at work
  disagrees,          // FAILED_PRECONDITION: position, for one
  no_credentials,     // UNAUTHENTICATED, PERMISSION_DENIED
  no_fixwright,       // something else listens there, or one of another version
};

struct ServerProbe {
  ProbeOutcome outcome = ProbeOutcome::away;
  std::string message;         // the server's or the transport's own words, one line; may be empty
  std::string server_version;  // when welcomed
  std::vector<PlannedChannel> plan;  // when welcomed
  Duration took{};                   // from the first packet to the answer
};

/// Says Hello, waits for the answer, leaves. Where it is welcomed the server sees the station
/// connect and go again. Returns within `patience`.
ServerProbe probe_server(const UplinkConfig& config, Duration patience);

}  // namespace fixwright::agent
