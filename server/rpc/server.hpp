#pragma once
/// The gRPC server: fixwright.station.v1, fixwright.query.v1, standard health and reflection.
/// No gRPC type shows here, so that who wires it need not know gRPC.

#include <cstddef>
#include <memory>
#include <string>

#include "server/base/metrics.hpp"
#include "server/base/result.hpp"
#include "server/base/time.hpp"
#include "server/rpc/decision_port.hpp"
#include "server/rpc/query_port.hpp"
#include "server/rpc/station_port.hpp"

namespace fixwright::rpc {

struct ServerRules {
  std::string listen_address;               // "host:port" or "[v6]:port"; port 0 takes a free one
  int max_message_bytes = 4 * 1024 * 1024;  // of one message received, >= 1024
  /// One value for both sides: we ping after this silence, agents are told it in the Welcome
  /// and may ping as often. Put the same into Grant::keepalive_interval. >= 1 s.
  Duration keepalive = std::chrono::seconds{20};
  /// After this a client is asked to connect again, so that load moves; 0: never.
  Duration max_connection_age = std::chrono::hours{24};
  Duration hello_timeout = std::chrono::seconds{10};   // from the stream's start to its Hello
  Duration reconnect_after = std::chrono::seconds{5};  // told to agents when we drain
  std::size_t watch_queue = 4096;  // changes waiting for one watcher before it is ended
  int query_threads = 2;           // calls of the query port and of StationPort::open
};

/// Start order: construct, start(), set_ready(true) once the database is there. Stop order:
/// drain_and_stop(), then destroy. The ports must outlive it. Calls are safe from any thread.
///
/// Block the signals you handle before start(): gRPC starts threads.
class Server {
 public:
  Server(ServerRules rules, StationPort& stations, QueryPort& queries, DecisionPort& decisions,
         Metrics& metrics);
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;
  ~Server();  // stops at once what still runs

  /// Listens. \return the bound port, or one line:
  /// "rpc.listen = 127.0.0.1:7440: address in use: … Nothing was started."
  Result<int> start();

  /// Health of each service and of "": SERVING or NOT_SERVING. Not serving until first called.
  void set_ready(bool ready);

  /// Not ready; agents get Drain, their last acknowledgements, then UNAVAILABLE; watchers get
  /// UNAVAILABLE. What has not ended after `patience` is cut. Returns when no call of a port
  /// runs or will come.
  void drain_and_stop(Duration patience);

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace fixwright::rpc
