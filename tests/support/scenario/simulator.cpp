#include "tests/support/scenario/simulator.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"

namespace fixwright::scenario {

namespace {

constexpr double kStationDelay_s = 0.04;
constexpr double kIntegration_s = 0.2;

struct Look {
  double t_s = 0.0;
  std::size_t source = 0;
};

std::vector<Look> looks_of(const std::vector<Source>& sources) {
  std::vector<Look> looks;
  for (std::size_t s = 0; s < sources.size(); ++s) {
    for (const OnTime& on : sources[s].on) {
      for (double t = on.from_s; t < on.to_s; t += sources[s].period_s) looks.push_back({t, s});
    }
  }
  std::stable_sort(looks.begin(), looks.end(),
                   [](const Look& a, const Look& b) { return a.t_s < b.t_s; });
  return looks;
}

double noise_of(StationId station, const SimulationRules& rules) {
  const auto own = rules.station_noise_deg.find(station);
  return own == rules.station_noise_deg.end() ? rules.noise_deg : own->second;
}

double off_by_deg(const std::map<StationId, double>& offsets, StationId station) {
  const auto own = offsets.find(station);
  return own == offsets.end() ? 0.0 : own->second;
}

Bearing blank_bearing(const Station& station, const Source& source, double t_s,
                      const SimulationRules& rules) {
  Bearing b;
  b.key.station = station.id;
  b.key.stream = 7;
  b.channel = source.channel;
  b.frequency_hz = 146.0e6 + 12.5e3 * static_cast<double>(source.channel);
  b.start = scenario_start() + from_seconds(t_s + kStationDelay_s * station.id);
  b.integration = from_seconds(kIntegration_s);
  b.clock_error = std::chrono::milliseconds{1};
  b.sigma_deg = noise_of(station.id, rules);
  b.station_position = station.position;
  b.flags = kFlagSimulated;
  return b;
}

bool hears(const Source& source, StationId station) {
  return std::find(source.deaf.begin(), source.deaf.end(), station) == source.deaf.end();
}

/// The sources that a station hears in this look: others of the channel at the same instant hide
/// it where only the strongest is heard.
bool hidden(const Look& look, const std::vector<Look>& looks, const std::vector<Source>& sources,
            const Station& station) {
  const Source& own = sources[look.source];
  const double range = geodesy::distance_m(station.position, own.at(look.t_s));
  return std::any_of(looks.begin(), looks.end(), [&](const Look& other) {
    return other.t_s == look.t_s && other.source != look.source &&
           sources[other.source].channel == own.channel &&
           hears(sources[other.source], station.id) &&
           geodesy::distance_m(station.position, sources[other.source].at(look.t_s)) < range;
  });
}

class Simulation {
 public:
  Simulation(const Stations& stations, const std::vector<Source>& sources,
             const SimulationRules& rules)
      : stations_(stations), sources_(sources), rules_(rules), dice_(rules.seed) {}

  Simulated run() {
    const auto looks = looks_of(sources_);
    for (const Look& look : looks) {
      for (const auto& [id, station] : stations_) measure(look, looks, station);
    }
    std::stable_sort(made_.begin(), made_.end(), [](const Made& a, const Made& b) {
      return EventOrder{}(a.bearing, b.bearing);
    });
    Simulated all;
    std::map<StationId, std::uint64_t> sequence;
    for (Made& m : made_) {
      m.bearing.key.sequence = ++sequence[m.bearing.key.station];
      all.bearings.push_back(m.bearing);
      all.source.push_back(m.source);
    }
    return all;
  }

 private:
  struct Made {
    Bearing bearing;
    int source = -1;
  };

  void measure(const Look& look, const std::vector<Look>& looks, const Station& station) {
    const Source& source = sources_[look.source];
    const bool heard = dice_.uniform() < rules_.detection;
    const double noise = noise_of(station.id, rules_) * dice_.normal();
    if (dice_.uniform() < rules_.clutter) add(look, station, 360.0 * dice_.uniform(), -1);
    if (!heard || !hears(source, station.id)) return;
    if (rules_.strongest_only && hidden(look, looks, sources_, station)) return;
    const double t = look.t_s + kStationDelay_s * station.id + 0.5 * kIntegration_s;
    const double truth = geodesy::inverse(station.position, source.at(t)).azimuth1_deg;
    const double off =
        off_by_deg(rules_.reflection_deg, station.id) + off_by_deg(source.turned_deg, station.id);
    add(look, station, truth + noise + off, static_cast<int>(look.source));
  }

  void add(const Look& look, const Station& station, double azimuth_deg, int source) {
    Bearing b = blank_bearing(station, sources_[look.source], look.t_s, rules_);
    b.azimuth_deg = wrap_360(azimuth_deg);
    made_.push_back({b, source});
  }

  const Stations& stations_;
  const std::vector<Source>& sources_;
  const SimulationRules& rules_;
  Dice dice_;
  std::vector<Made> made_;
};

}  // namespace

TimePoint scenario_start() {
  using namespace std::chrono;
  return TimePoint{sys_days{year{2031} / May / 4}} + hours{10};
}

GeoPoint Source::at(double t_s) const {
  double driven_s = t_s;
  if (turn_back_s > 0.0) {
    driven_s = std::fmod(t_s, 2.0 * turn_back_s);
    driven_s = std::min(driven_s, 2.0 * turn_back_s - driven_s);
  }
  return geodesy::displace(position, {east_m_per_s * driven_s, north_m_per_s * driven_s});
}

/// splitmix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014).
double Dice::uniform() {
  std::uint64_t z = (state_ += 0x9e3779b97f4a7c15U);
  z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
  z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
  z ^= z >> 31U;
  return static_cast<double>(z >> 11U) * 0x1.0p-53;
}

/// Box and Muller.
double Dice::normal() {
  const double radius = std::sqrt(-2.0 * std::log(1.0 - uniform()));
  return radius * std::cos(2.0 * std::numbers::pi * uniform());
}

std::vector<Bearing> simulate(const Stations& stations, const std::vector<Source>& sources,
                              const SimulationRules& rules) {
  return simulate_knowing(stations, sources, rules).bearings;
}

Simulated simulate_knowing(const Stations& stations, const std::vector<Source>& sources,
                           const SimulationRules& rules) {
  return Simulation(stations, sources, rules).run();
}

}  // namespace fixwright::scenario
