#pragma once
/// What is known of each station right now: for the query service, the page and alerts.

#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "server/model/views.hpp"

namespace fixwright::app {

class StationBoard {
 public:
  explicit StationBoard(const Stations& stations);

  /// \return false when an agent is connected under this station already.
  bool connect(StationId station, const std::string& agent_version);
  void disconnect(StationId station);
  void heartbeat(const Heartbeat& heartbeat);
  void count(StationId station, std::uint64_t admitted, std::uint64_t refused);

  [[nodiscard]] std::vector<StationView> views() const;

 private:
  mutable std::mutex mutex_;
  std::map<StationId, StationView> views_;
};

}  // namespace fixwright::app
