#include "server/app/station_board.hpp"

namespace fixwright::app {

StationBoard::StationBoard(const Stations& stations) {
  for (const auto& [id, station] : stations) views_[id].station = station;
}

bool StationBoard::connect(StationId station, const std::string& agent_version) {
  const std::lock_guard lock(mutex_);
  StationView& view = views_.at(station);
  if (view.connected) return false;
  view.connected = true;
  view.agent_version = agent_version;
  return true;
}

void StationBoard::disconnect(StationId station) {
  const std::lock_guard lock(mutex_);
  views_.at(station).connected = false;
}

void StationBoard::heartbeat(const Heartbeat& heartbeat) {
  const std::lock_guard lock(mutex_);
  StationView& view = views_.at(heartbeat.station);
  view.last_heartbeat = heartbeat.received_at;
  view.clock_error = heartbeat.clock_error;
}

void StationBoard::count(StationId station, std::uint64_t admitted, std::uint64_t refused) {
  const std::lock_guard lock(mutex_);
  views_.at(station).bearings_admitted += admitted;
  views_.at(station).bearings_refused += refused;
}

std::vector<StationView> StationBoard::views() const {
  const std::lock_guard lock(mutex_);
  std::vector<StationView> all;
  for (const auto& [id, view] : views_) all.push_back(view);
  return all;
}

}  // namespace fixwright::app
