#include "server/tools/calibration_input.hpp"

#include <fmt/core.h>

#include <cmath>
#include <map>

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/locate/cross_fix.hpp"

namespace fixwright::tools {

namespace {

using calibrate::JointEmitter;
using calibrate::JointObservation;
using calibrate::ReferenceBearing;
using OfStation = std::map<StationId, std::vector<ReferenceBearing>>;

const ReferenceTransmitter* nearest_reference(double frequency_hz,
                                              const std::vector<ReferenceTransmitter>& references,
                                              double tolerance_hz) {
  const ReferenceTransmitter* nearest = nullptr;
  double least_hz = tolerance_hz;
  for (const ReferenceTransmitter& r : references) {
    const double apart_hz = std::abs(r.frequency_hz - frequency_hz);
    if (apart_hz > least_hz) continue;
    least_hz = apart_hz;
    nearest = &r;
  }
  return nearest;
}

ReferenceBearing seen_at(const Bearing& b, GeoPoint place) {
  return {b.key.station, b.station_position, b.azimuth_deg, place, b.start};
}

/// The median azimuth of one station's bearings of one emitter, as the bias against a mark due
/// north of the station: wrapped, and deaf to gross errors.
Result<JointObservation> station_mean(const std::vector<ReferenceBearing>& to_mark,
                                      double site_sigma_deg) {
  const auto about = calibrate::reference_bias(to_mark);
  if (!about) return Error{about.error()};
  JointObservation o;
  o.station = about->station;
  o.station_position = to_mark.front().station_position;
  o.azimuth_deg = wrap_360(about->bias_deg);
  o.sigma_deg = std::hypot(about->bias_sigma_deg, site_sigma_deg);
  o.bearings = about->bearings;
  o.first = about->first;
  o.last = about->last;
  return o;
}

OfStation by_station(const std::vector<Bearing>& bearings) {
  constexpr double kMarkRange_m = 10'000.0;
  OfStation stations;
  for (const Bearing& b : bearings) {
    if (b.station_moves) continue;
    const GeoPoint mark = geodesy::direct(b.station_position, 0.0, kMarkRange_m);
    stations[b.key.station].push_back(seen_at(b, mark));
  }
  return stations;
}

/// Where the iteration starts. Biases are unknown yet, so every sigma allows for one; rivals don't
/// matter, chi-square will tell in the end.
CrossFix first_fix(const std::vector<JointObservation>& means, double prior_sigma_deg) {
  std::vector<PooledBearing> pooled;
  for (const JointObservation& o : means) {
    PooledBearing p;
    p.station = o.station;
    p.station_position = o.station_position;
    p.azimuth_deg = o.azimuth_deg;
    p.sigma_deg = std::hypot(o.sigma_deg, prior_sigma_deg);
    p.count = static_cast<int>(o.bearings);
    pooled.push_back(std::move(p));
  }
  locate::LocateRules rules;
  rules.min_rival_gap_nats = 0.0;
  rules.accept_open_region = true;
  return locate::cross_fix(pooled, rules);
}

/// Adds one frequency's means and their emitter, or says why it takes no part.
void add_emitter(JointInput& input, std::vector<JointObservation> means,
                 const ReferenceTransmitter* reference, double frequency_hz,
                 double prior_sigma_deg) {
  JointEmitter emitter;
  if (reference != nullptr) {
    emitter = {reference->position, reference->position_sigma_m};
  } else {
    const CrossFix fix = first_fix(means, prior_sigma_deg);
    if (!fix.accepted()) {
      input.left_out.push_back(
          fmt::format("{:.4f} MHz takes no part: its bearings give no place "
                      "({})",
                      frequency_hz / 1e6, to_string(fix.refusal)));
      return;
    }
    emitter.position = fix.position;
  }
  for (JointObservation& o : means) {
    o.emitter = input.emitters.size();
    input.observations.push_back(std::move(o));
  }
  input.emitters.push_back(emitter);
}

/// Bearings of each channel of the log.
std::map<ChannelId, std::vector<Bearing>> by_channel(const std::vector<Bearing>& bearings,
                                                     const TransmissionRules& rules) {
  std::map<ChannelId, std::vector<Bearing>> channels;
  for (const Transmission& t : cut_transmissions(bearings, rules)) {
    auto& all = channels[t.key.channel];
    all.insert(all.end(), t.bearings.begin(), t.bearings.end());
  }
  return channels;
}

}  // namespace

std::vector<std::vector<ReferenceBearing>> reference_bearings(
    const std::vector<Bearing>& bearings, const std::vector<ReferenceTransmitter>& references,
    double frequency_tolerance_hz) {
  OfStation stations;
  for (const Bearing& b : bearings) {
    const auto* reference = nearest_reference(b.frequency_hz, references, frequency_tolerance_hz);
    if (reference != nullptr) stations[b.key.station].push_back(seen_at(b, reference->position));
  }
  std::vector<std::vector<ReferenceBearing>> out;
  for (auto& [station, list] : stations) out.push_back(std::move(list));
  return out;
}

JointInput joint_input(const std::vector<Bearing>& bearings,
                       const std::vector<ReferenceTransmitter>& references,
                       const TransmissionRules& transmissions, double site_sigma_deg,
                       double prior_sigma_deg) {
  JointInput input;
  for (const auto& [channel, list] : by_channel(bearings, transmissions)) {
    const double mean_hz = mean_frequency_hz(list);
    const auto* reference =
        nearest_reference(mean_hz, references, transmissions.frequency_tolerance_hz);
    std::vector<JointObservation> means;
    for (const auto& [station, to_mark] : by_station(list)) {
      auto mean = station_mean(to_mark, site_sigma_deg);
      if (mean) {
        means.push_back(std::move(mean).value());
      } else {
        input.left_out.push_back(fmt::format("{:.4f} MHz: {}", mean_hz / 1e6, mean.error()));
      }
    }
    add_emitter(input, std::move(means), reference, mean_hz, prior_sigma_deg);
  }
  return input;
}

}  // namespace fixwright::tools
