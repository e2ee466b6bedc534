#include "station_agent/check/sample_check.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "station_agent/check/array_checks.hpp"
#include "station_agent/check/element_checks.hpp"
#include "station_agent/source/iq/chain/array_in_use.hpp"
#include "station_agent/source/iq/chain/watched_channels.hpp"

namespace fixwright::agent::check {

namespace {

/// Of the known transmitter, where no watched channel holds its frequency.
constexpr double kTransmitterBandwidth_hz = 16'000.0;

bool holds(const detect::WatchedChannel& c, double frequency_hz) {
  return std::abs(c.frequency_hz - frequency_hz) <= c.bandwidth_hz / 2.0;
}

std::vector<detect::WatchedChannel> wanted_channels(const SampleQuestion& q) {
  std::vector<detect::WatchedChannel> wanted = q.config.channels;
  if (wanted.empty()) {
    for (const PlannedChannel& c : q.plan) wanted.push_back({c.frequency_hz, c.bandwidth_hz});
  }
  if (!q.transmitter) return wanted;
  const double f_hz = q.transmitter->frequency_hz;
  const bool known =
      std::any_of(wanted.begin(), wanted.end(), [f_hz](const auto& c) { return holds(c, f_hz); });
  if (!known) wanted.push_back({f_hz, kTransmitterBandwidth_hz});
  return wanted;
}

/// Where a receiver can be tuned it goes where most is to be heard, or the known transmitter is.
void tune(iq::SampleStream& stream, const SampleQuestion& q,
          const std::vector<detect::WatchedChannel>& wanted) {
  const iq::StreamFormat& format = stream.format();
  double centre_hz = iq::best_centre_hz(wanted, format.rate_hz);
  if (q.transmitter) centre_hz = q.transmitter->frequency_hz - 0.1 * format.rate_hz;
  if (q.config.tune_to_channels && centre_hz > 0.0) tune_to(stream, centre_hz);
}

FrequencySpan span_of(const std::vector<detect::WatchedChannel>& channels,
                      const iq::StreamFormat& format) {
  if (channels.empty()) return {format.centre_hz, format.centre_hz};
  const auto [low, high] = std::minmax_element(
      channels.begin(), channels.end(),
      [](const auto& a, const auto& b) { return a.frequency_hz < b.frequency_hz; });
  return {low->frequency_hz, high->frequency_hz};
}

detect::DetectorConfig detector_for(const SampleQuestion& q, const iq::StreamFormat& format,
                                    const std::vector<detect::WatchedChannel>& wanted) {
  detect::DetectorConfig config;
  config.rate_hz = format.rate_hz;
  config.centre_hz = format.centre_hz;
  config.elements = format.elements;
  config.rules = q.config.detect;
  for (const detect::WatchedChannel& c : wanted) {
    if (!iq::is_within(c, format)) continue;
    config.channels.push_back(c);
    // One that this rate can't resolve is left to the agent's own complaint.
    if (!detect::problems_of(config).empty()) config.channels.pop_back();
  }
  return config;
}

std::optional<KnownSignal> known_signal(const SampleQuestion& q, const Survey& s) {
  if (!q.transmitter || !q.station) return std::nullopt;
  KnownSignal known{line_to(*q.station, q.transmitter->place), nullptr};
  for (std::size_t i = 0; i < s.channels.size(); ++i) {
    const bool heard = holds(s.channels[i], q.transmitter->frequency_hz) && s.heard[i].looks > 0;
    if (heard) known.look = &s.heard[i].look;
  }
  return known;
}

Finding order_finding(const SampleQuestion& q, const Survey& s, const array::Manifold& manifold) {
  if (q.transmitter && !q.station) {
    return {"order", Severity::advice, "the station's own place is not known: no true azimuth",
            "set station.latitude_deg and longitude_deg, and check again"};
  }
  const bool out_of_band =
      q.transmitter && std::none_of(s.channels.begin(), s.channels.end(), [&](const auto& c) {
        return holds(c, q.transmitter->frequency_hz);
      });
  if (out_of_band) {
    return {"order", Severity::advice, "the known transmitter lies outside the sampled band",
            "tune the receiver to it, and check again"};
  }
  return check_order(known_signal(q, s), manifold, q.config.estimator);
}

}  // namespace

std::vector<Finding> check_samples_of(iq::SampleStream& stream, const SampleQuestion& q) {
  const std::vector<detect::WatchedChannel> wanted = wanted_channels(q);
  tune(stream, q, wanted);
  const detect::DetectorConfig config = detector_for(q, stream.format(), wanted);
  std::vector<Finding> all;
  const std::vector<std::string> problems = detect::problems_of(config);
  if (!problems.empty()) {
    return {{"samples", Severity::fault, "source.iq.detect: " + problems.front(), "mend it there"}};
  }
  const Survey s = survey(stream, config, q.lasts);
  const Result<array::Manifold> manifold = iq::array_in_use(q.config, s.format);
  if (manifold) {
    const FrequencySpan span = span_of(wanted, s.format);
    const array::EstimatorRules& rules = q.config.estimator;
    all = {check_spacing(manifold->geometry(), span), check_ambiguity(*manifold, rules, span),
           check_cables(*manifold, span),
           check_calibration(*manifold, rules, span, q.config.calibration_max_age, s.first)};
  } else {
    all = {{"array", Severity::fault, manifold.error(), "mend source.iq.array"}};
  }
  all.push_back(check_samples(s));
  if (s.frames == 0) return all;
  all.push_back(check_noise(s));
  all.push_back(check_overload(s, q.config.detect.overload_share));
  if (!manifold) return all;
  all.push_back(check_coherence(s, *manifold, q.config));
  all.push_back(order_finding(q, s, *manifold));
  return all;
}

std::vector<Finding> no_samples() {
  std::vector<Finding> all;
  for (const char* area : {"spacing", "ambiguity", "cable", "calibration", "samples", "noise",
                           "overload", "coherence", "order"}) {
    all.push_back(
        {area, Severity::not_applicable, "not applicable: no samples from this source", ""});
  }
  return all;
}

}  // namespace fixwright::agent::check
