#include "station_agent/source/simulated/measurement.hpp"

#include <GeographicLib/Geodesic.hpp>
#include <algorithm>
#include <cmath>
#include <complex>

#include "server/base/angle.hpp"
#include "station_agent/source/simulated/draw.hpp"

namespace fixwright::agent {

namespace {

constexpr double kMinSnr_db = 3.0;  // below it nothing is detected
constexpr Duration kClutterIntegration = std::chrono::milliseconds{200};

/// Free-space loss, Rec. ITU-R P.525: 32.4 + 20 log f(MHz) + 20 log d(km).
double free_space_loss_db(double frequency_hz, double distance_m) {
  return 32.4 + 20.0 * std::log10(frequency_hz / 1e6) +
         20.0 * std::log10(std::max(distance_m, 1.0) / 1e3);
}

/// Field strength of an isotropic radiator in free space: E = P(dBW) - 20 log d(km) + 74.8.
/// Source: sqrt(30 P) / d, as in Rec. ITU-R P.525.
double field_strength_dbuv_per_m(double eirp_dbw, double distance_m) {
  return eirp_dbw - 20.0 * std::log10(std::max(distance_m, 1.0) / 1e3) + 74.8;
}

double reflection_bias_deg(const SimulatedStation& station, const SimulatedEmitter& emitter,
                           double azimuth_deg, Duration since_start) {
  double bias_deg = 0.0;
  for (const Reflection& r : station.reflections) {
    if (!r.emitter.empty() && r.emitter != emitter.name) continue;
    const double phase_deg = r.phase_deg + r.phase_rate_deg_per_s * seconds(since_start);
    bias_deg += two_ray_bias_deg(r.ratio, wrap_180(r.azimuth_deg - azimuth_deg), phase_deg);
  }
  return bias_deg;
}

bool may_hear(const SimulatedStation& station, const SimulatedEmitter& emitter, double distance_m) {
  const auto& only = emitter.only_stations;
  const bool named =
      only.empty() || std::find(only.begin(), only.end(), station.name) != only.end();
  return named && distance_m <= station.range_m;
}

void add_strength(const SimulatedStation& station, const SimulatedEmitter& emitter,
                  double distance_m, SourceBearing& b) {
  const double received_dbm =
      emitter.eirp_dbw + 30.0 - free_space_loss_db(emitter.frequency_hz, distance_m);
  b.snr_db = received_dbm - station.noise_floor_dbm;
  b.level_dbfs = std::min(received_dbm - station.full_scale_dbm, 0.0);
  b.overload = received_dbm > station.full_scale_dbm;
  b.field_strength_dbuv_per_m = field_strength_dbuv_per_m(emitter.eirp_dbw, distance_m);
}

Draw draw_of(const Scenario& scenario, const SimulatedStation& station,
             const SimulatedEmitter& emitter, std::int64_t tick) {
  return {scenario.seed, hash_name(station.name), hash_name(emitter.name), tick};
}

double measured_azimuth_deg(const SimulatedStation& station, const SimulatedEmitter& emitter,
                            const Draw& draw, double true_azimuth_deg, Duration since_start) {
  if (draw.uniform(Purpose::gross_error) < station.gross_error_probability) {
    return 360.0 * draw.uniform(Purpose::gross_azimuth);
  }
  return wrap_360(true_azimuth_deg + station.bias_deg +
                  reflection_bias_deg(station, emitter, true_azimuth_deg, since_start) +
                  station.sigma_deg * draw.normal(Purpose::noise));
}

}  // namespace

AzimuthDistance azimuth_distance(const GeoPoint& from, const GeoPoint& to) {
  double s12_m = 0.0;
  double azi1_deg = 0.0;
  double azi2_deg = 0.0;
  GeographicLib::Geodesic::WGS84().Inverse(from.latitude_deg, from.longitude_deg, to.latitude_deg,
                                           to.longitude_deg, s12_m, azi1_deg, azi2_deg);
  return {wrap_360(azi1_deg), s12_m};
}

double two_ray_bias_deg(double ratio, double reflection_deg, double phase_deg) {
  // Phase gradient of exp(i k1 x) + z exp(i k2 x) at the antenna: Re[(k1 + z k2) / (1 + z)].
  const std::complex<double> z = std::polar(ratio, phase_deg * kDegToRad);
  const double first = (1.0 / (1.0 + z)).real();
  const double second = (z / (1.0 + z)).real();
  const double d = reflection_deg * kDegToRad;
  return std::atan2(second * std::sin(d), first + second * std::cos(d)) * kRadToDeg;
}

TimePoint measurement_start(const Scenario& scenario, const SimulatedStation& station,
                            const SimulatedEmitter& emitter, std::int64_t tick) {
  const double phase = draw_of(scenario, station, emitter, 0).uniform(Purpose::phase);
  const Duration slack = emitter.interval - emitter.integration;
  return scenario.start + tick * emitter.interval + from_seconds(phase * seconds(slack));
}

std::optional<SourceBearing> measure(const Scenario& scenario, const SimulatedStation& station,
                                     const SimulatedEmitter& emitter, std::int64_t tick) {
  const TimePoint start = measurement_start(scenario, station, emitter, tick);
  const Duration since_start = start - scenario.start;
  if (!is_on(emitter.schedule, since_start, since_start + emitter.integration)) return std::nullopt;
  const GeoPoint place = emitter.path.at(since_start + emitter.integration / 2);
  const AzimuthDistance truth = azimuth_distance(station.position, place);
  const Draw draw = draw_of(scenario, station, emitter, tick);
  const bool detected = draw.uniform(Purpose::detection) < station.detection_probability;
  if (!detected || !may_hear(station, emitter, truth.distance_m)) return std::nullopt;

  SourceBearing b;
  add_strength(station, emitter, truth.distance_m, b);
  if (*b.snr_db < kMinSnr_db) return std::nullopt;
  b.start = start;
  b.integration = emitter.integration;
  b.frequency_hz =
      emitter.frequency_hz + emitter.frequency_sigma_hz * draw.normal(Purpose::frequency);
  b.azimuth_deg = measured_azimuth_deg(station, emitter, draw, truth.azimuth_deg, since_start);
  b.sigma_deg = station.sigma_deg;
  if (emitter.bandwidth_hz > 0.0) b.bandwidth_hz = emitter.bandwidth_hz;
  if (!emitter.label.empty()) b.label = emitter.label;
  b.simulated = true;
  return b;
}

std::optional<SourceBearing> clutter(const Scenario& scenario, const SimulatedStation& station,
                                     std::int64_t second) {
  const Draw draw{scenario.seed, hash_name(station.name), 0, second};
  const bool none = draw.uniform(Purpose::clutter) * 60.0 >= station.clutter_per_minute;
  if (none || scenario.emitters.empty()) return std::nullopt;
  const auto count = static_cast<double>(scenario.emitters.size());
  const auto pick = static_cast<std::size_t>(draw.uniform(Purpose::clutter_channel) * count);
  const double slack_s = 1.0 - seconds(kClutterIntegration);
  SourceBearing b;
  b.start = scenario.start + std::chrono::seconds{second} +
            from_seconds(draw.uniform(Purpose::clutter_time) * slack_s);
  b.integration = kClutterIntegration;
  b.frequency_hz = scenario.emitters[pick].frequency_hz;
  b.azimuth_deg = 360.0 * draw.uniform(Purpose::clutter_azimuth);
  b.sigma_deg = station.sigma_deg;
  b.snr_db = kMinSnr_db;
  b.simulated = true;
  return b;
}

}  // namespace fixwright::agent
