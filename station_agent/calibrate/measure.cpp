#include "station_agent/calibrate/measure.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "server/base/angle.hpp"
#include "station_agent/array/calibrate.hpp"
#include "station_agent/calibrate/gather.hpp"
#include "station_agent/calibrate/refusal_text.hpp"
#include "station_agent/check/survey.hpp"
#include "station_agent/source/iq/chain/array_in_use.hpp"
#include "station_agent/source/iq/chain/watched_channels.hpp"

namespace fixwright::agent::calibrate {

namespace {

constexpr double kBandwidth_hz = 16'000.0;  // of a reference that no listed channel holds
constexpr double kMostExtrapolated_deg = 3.0;

Measurement refused(Outcome outcome, std::string line) { return {outcome, std::move(line)}; }
Measurement unusable(std::string line) { return refused(Outcome::unusable, std::move(line)); }

bool holds(const detect::WatchedChannel& c, double frequency_hz) {
  return std::abs(c.frequency_hz - frequency_hz) <= c.bandwidth_hz / 2.0;
}

/// One for each reference, in their order.
std::vector<detect::WatchedChannel> channels_of(const CalibrationQuestion& q) {
  std::vector<detect::WatchedChannel> all;
  for (const Reference& r : q.references) {
    const auto listed = std::find_if(q.config.channels.begin(), q.config.channels.end(),
                                     [&](const auto& c) { return holds(c, r.frequency_hz); });
    all.push_back(listed != q.config.channels.end()
                      ? *listed
                      : detect::WatchedChannel{r.frequency_hz, kBandwidth_hz});
  }
  return all;
}

std::string channel_problem(const std::vector<detect::WatchedChannel>& channels,
                            const iq::StreamFormat& format) {
  for (std::size_t i = 0; i < channels.size(); ++i) {
    const double f_hz = channels[i].frequency_hz;
    if (!iq::is_within(channels[i], format)) {
      const double half_hz = 0.5 * iq::kUsableShare * format.rate_hz;
      return fmt::format(
          "{:.6f} MHz lies outside the sampled band, {:.6f} to {:.6f} MHz: tune the "
          "receiver to it",
          f_hz / 1e6, (format.centre_hz - half_hz) / 1e6, (format.centre_hz + half_hz) / 1e6);
    }
    for (std::size_t k = 0; k < i; ++k) {
      const double apart_hz = std::abs(channels[k].frequency_hz - f_hz);
      if (apart_hz >= 0.5 * (channels[k].bandwidth_hz + channels[i].bandwidth_hz)) continue;
      return fmt::format("{:.6f} and {:.6f} MHz share one channel: give frequencies further apart",
                         channels[k].frequency_hz / 1e6, f_hz / 1e6);
    }
  }
  return {};
}

std::string range_problem(const array::ArrayGeometry& geometry, const std::vector<Reference>& all) {
  for (const Reference& r : all) {
    const double curved_deg = curvature_deg(geometry, r);
    if (curved_deg <= kMostCurvature_deg) continue;
    return fmt::format(
        "the transmitter on {:.6f} MHz, {:.0f} m away, is too near for a flat wave: "
        "at least {:.0f} m",
        r.frequency_hz / 1e6, r.line->range_m,
        std::ceil(r.line->range_m * curved_deg / kMostCurvature_deg));
  }
  return {};
}

/// The looks of all references, each with where it came from; the first problem ends it.
std::string collect(const CalibrationQuestion& q, const std::vector<Gathered>& gathered,
                    double lasted_s, Measurement& m, std::vector<array::ReferenceLook>& looks) {
  for (std::size_t i = 0; i < gathered.size(); ++i) {
    const Reference& r = q.references[i];
    const std::string problem = gathering_problem(gathered[i], r.frequency_hz, lasted_s);
    if (!problem.empty()) return problem;
    m.heard.push_back({r, gathered[i].snr_db, gathered[i].snapshots});
    for (const array::SpatialCovariance& part : gathered[i].parts) {
      looks.push_back({part, r.line ? std::optional(r.line->azimuth_deg) : std::nullopt});
    }
  }
  return {};
}

/// A slope through phases that are off by the residual: at the ends of the frequencies, where two
/// of them tell most.
double delay_sigma_s(const array::ArrayCalibration& c, const std::vector<Reference>& all) {
  const auto [low, high] = std::minmax_element(
      all.begin(), all.end(),
      [](const Reference& a, const Reference& b) { return a.frequency_hz < b.frequency_hz; });
  const double span_hz = high->frequency_hz - low->frequency_hz;
  if (span_hz <= 0.0) return 0.0;
  return std::numbers::sqrt2 * c.residual_deg / (360.0 * span_hz);
}

/// Not only the phases move away when delays are wrong: so far beyond it may be used.
double margin_for(double sigma_s, double frequency_hz, double usual) {
  if (sigma_s <= 0.0) return usual;
  return std::min(usual, kMostExtrapolated_deg / (360.0 * sigma_s * frequency_hz));
}

/// Of the first part of every reference, or of the last.
array::ArrayCalibration part_of(const array::ArrayGeometry& geometry,
                                const std::vector<Gathered>& gathered, const CalibrationQuestion& q,
                                bool last) {
  std::vector<array::ReferenceLook> looks;
  for (std::size_t i = 0; i < gathered.size(); ++i) {
    const auto& line = q.references[i].line;
    const auto& parts = gathered[i].parts;
    looks.push_back({last ? parts.back() : parts.front(),
                     line ? std::optional(line->azimuth_deg) : std::nullopt});
  }
  return array::calibrate(geometry, looks, {}).calibration;
}

/// What the array's own judgement lets pass. Empty: nothing.
std::string doubt_of(const array::ArrayGeometry& geometry, const std::vector<Gathered>& gathered,
                     const CalibrationQuestion& q, const array::ArrayCalibration& c) {
  std::string moved =
      movement_of(part_of(geometry, gathered, q, false), part_of(geometry, gathered, q, true));
  return moved.empty() ? long_delay_of(c) : moved;
}

Measurement evaluate(const array::ArrayGeometry& geometry, const CalibrationQuestion& q,
                     const std::vector<Gathered>& gathered, double lasted_s) {
  Measurement m;
  std::vector<array::ReferenceLook> looks;
  const std::string problem = collect(q, gathered, lasted_s, m, looks);
  if (!problem.empty()) return refused(Outcome::not_measured, problem);
  array::CalibrationPlan plan{
      .date = q.date, .temperature_c = q.temperature_c, .reference_legs = {}};
  array::CalibrationResult result = array::calibrate(geometry, looks, plan);
  const bool fitted = result.problem == array::CalibrationProblem::none ||
                      result.problem == array::CalibrationProblem::poor_fit;
  const std::string doubt = fitted ? doubt_of(geometry, gathered, q, result.calibration) : "";
  if (!doubt.empty()) return refused(Outcome::not_measured, doubt);
  if (result.problem != array::CalibrationProblem::none) {
    return refused(Outcome::not_measured, refusal_of(result, looks));
  }
  m.delay_sigma_s = delay_sigma_s(result.calibration, q.references);
  plan.margin = margin_for(m.delay_sigma_s, result.calibration.reference_hz, plan.margin);
  m.calibration = array::calibrate(geometry, looks, plan).calibration;
  m.calibration.reference = describe(q.references);
  return m;
}

/// Samples that end with a fault are no measurement, even where there are enough of them.
std::string survey_problem(const check::Survey& s) {
  if (s.failure.empty()) return s.frames == 0 ? "there were no samples" : "";
  return fmt::format("the samples ended after {:.1f} s: {}", s.lasted_s(), s.failure);
}

}  // namespace

Measurement measure(iq::SampleStream& stream, const CalibrationQuestion& q) {
  const std::vector<detect::WatchedChannel> channels = channels_of(q);
  if (q.config.tune_to_channels) {
    const double centre_hz = iq::best_centre_hz(channels, stream.format().rate_hz);
    if (centre_hz > 0.0) check::tune_to(stream, centre_hz);
  }
  const iq::StreamFormat format = stream.format();
  const auto manifold = iq::array_in_use(q.config, format);
  if (!manifold) return unusable(manifold.error());
  std::string problem = channel_problem(channels, format);
  if (problem.empty()) problem = range_problem(manifold->geometry(), q.references);
  if (!problem.empty()) return unusable(problem);
  const detect::DetectorConfig config{format.rate_hz, format.centre_hz, format.elements, channels,
                                      q.config.detect};
  const std::vector<std::string> problems = detect::problems_of(config);
  if (!problems.empty()) return unusable("source.iq.detect: " + problems.front());

  std::vector<std::vector<detect::ChannelLook>> looks(channels.size());
  const check::Survey s = check::survey(
      stream, config, q.lasts, [&](const auto& look) { looks[look.channel].push_back(look); });
  problem = survey_problem(s);
  if (!problem.empty()) return refused(Outcome::not_measured, problem);
  std::vector<Gathered> gathered;
  for (const auto& of_channel : looks) gathered.push_back(gather(of_channel));
  return evaluate(manifold->geometry(), q, gathered, s.lasted_s());
}

}  // namespace fixwright::agent::calibrate
