#pragma once
/// Bearings of made emitters, from a seed: the same seed gives the same bearings on any machine.

#include <cstdint>
#include <map>
#include <vector>

#include "server/model/bearing.hpp"
#include "server/model/station.hpp"

namespace fixwright::scenario {

/// 2031-05-04T10:00:00Z: when every scenario begins.
TimePoint scenario_start();

/// On the air from..to, seconds since the start.
struct OnTime {
  double from_s = 0.0;
  double to_s = 0.0;
};

struct Source {
  GeoPoint position;  // at the start of the scenario
  ChannelId channel = 1;
  std::vector<OnTime> on = {};  // each heard once a period from its beginning
  double period_s = 1.0;
  double east_m_per_s = 0.0;
  double north_m_per_s = 0.0;
  std::vector<StationId> deaf = {};             // stations that never hear it
  std::map<StationId, double> turned_deg = {};  // this station's bearings of it are off by so much
  double turn_back_s = 0.0;                     // > 0: it drives back after so long, and again
  double until_s = 1e9;                         // it is there no longer: for who judges

  [[nodiscard]] GeoPoint at(double t_s) const;
};

struct SimulationRules {
  std::uint64_t seed = 1;
  double noise_deg = 1.0;
  double detection = 0.9;       // probability that a station hears one look
  double clutter = 0.0;         // false bearings a station and look, on average; < 1
  bool strongest_only = false;  // of several at one instant a station hears the nearest
  std::map<StationId, double> station_noise_deg = {};  // in place of noise_deg
  std::map<StationId, double> reflection_deg = {};     // this station's bearings are off by so much
};

/// Every station measures at its own moments: station n is n * 40 ms after the look.
/// \return in EventOrder, with sequences per station.
std::vector<Bearing> simulate(const Stations& stations, const std::vector<Source>& sources,
                              const SimulationRules& rules);

/// The same, with what only the simulator knows: the source of each bearing, -1 for clutter.
struct Simulated {
  std::vector<Bearing> bearings;
  std::vector<int> source;
};
Simulated simulate_knowing(const Stations& stations, const std::vector<Source>& sources,
                           const SimulationRules& rules);

/// Uniform in [0, 1) and standard normal, the same on every machine.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : state_(seed) {}
  double uniform();
  double normal();

 private:
  std::uint64_t state_;
};

}  // namespace fixwright::scenario
