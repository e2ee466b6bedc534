#pragma once
/// The whole server: every stage, wired in order. Start order: database, history, pipeline,
/// writer, services. Stop order is the reverse, so that what was acknowledged is also worked on.

#include <memory>
#include <string>

#include "server/app/server_config.hpp"
#include "server/base/clock.hpp"
#include "server/base/result.hpp"

namespace fixwright::app {

/// Where the server can be reached, as bound.
struct Endpoints {
  int rpc_port = 0;
  int web_port = 0;
};

class Server {
 public:
  /// Everything runs when it returns; otherwise nothing does, and the error is one line.
  /// Block SIGINT and SIGTERM before: threads start here.
  static Result<std::unique_ptr<Server>> start(const ServerConfig& config, const Clock& clock);
  ~Server();
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;

  [[nodiscard]] Endpoints endpoints() const;
  /// Drains agents, stores and works off what they sent, stops. Call once.
  void stop();

 private:
  struct Parts;
  explicit Server(std::unique_ptr<Parts> parts);
  std::unique_ptr<Parts> parts_;
};

}  // namespace fixwright::app
