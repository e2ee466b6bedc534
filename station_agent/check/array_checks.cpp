#include "station_agent/check/array_checks.hpp"

#include <fmt/core.h>

#include <algorithm>

#include "station_agent/array/site_check.hpp"

namespace fixwright::agent::check {

namespace {

constexpr double kBestSpacing = 0.43;  // wavelengths: the middle of what is called good
constexpr double kKink_deg = 10.0;
constexpr double kCable_m = 0.01;
constexpr double kVelocityFactor = 0.66;  // solid polyethylene (common practice, no source)
constexpr double kMuchError_deg = 5.0;    // of azimuth

std::string mhz(double hz) { return fmt::format("{:.3f} MHz", hz / 1e6); }

/// The element whose cable counts most.
array::CableError worst_of(const std::vector<array::CableError>& errors) {
  return *std::max_element(errors.begin(), errors.end(),
                           [](const auto& a, const auto& b) { return a.worst_deg < b.worst_deg; });
}

/// A line with its sector narrowed to one side has no front and back to confuse.
bool is_one_sided_line(const array::Manifold& manifold, const array::EstimatorRules& rules) {
  return array::is_linear(manifold.geometry()) && rules.sector_half_width_deg <= 90.0;
}

}  // namespace

Finding check_spacing(const array::ArrayGeometry& geometry, const FrequencySpan& span) {
  const array::SpacingCheck low = array::check_spacing(geometry, span.low_hz);
  const array::SpacingCheck high = array::check_spacing(geometry, span.high_hz);
  Finding f{.area = "spacing",
            .what = fmt::format("{:.2f} wavelengths between neighbours at {}", low.wavelengths,
                                mhz(span.low_hz)),
            .figures = {{"spacing_wavelengths_low", low.wavelengths},
                        {"spacing_wavelengths_high", high.wavelengths},
                        {"low_hz", span.low_hz},
                        {"high_hz", span.high_hz}}};
  if (span.high_hz > span.low_hz) {
    f.what += fmt::format(", {:.2f} at {}", high.wavelengths, mhz(span.high_hz));
  }
  f.what += " (0.40 to 0.45 is good, below 0.50 acceptable)";
  if (high.verdict == array::SpacingVerdict::wide) {
    f.severity = Severity::warning;
    f.to_do = fmt::format("set the elements closer: all distances times {:.2f}, or watch lower",
                          kBestSpacing / high.wavelengths);
  } else if (low.verdict == array::SpacingVerdict::small) {
    f.severity = Severity::advice;
    f.to_do = fmt::format(
        "bearings would be better from a larger array: up to {:.2f} times the distances",
        kBestSpacing / high.wavelengths);
  }
  return f;
}

Finding check_ambiguity(const array::Manifold& manifold, const array::EstimatorRules& rules,
                        const FrequencySpan& span) {
  // The highest frequency is the worst: the pattern only gains lobes with it.
  const array::Ambiguity worst = array::worst_ambiguity(manifold, span.high_hz);
  Finding f{.area = "ambiguity", .figures = {{"ambiguity_level", worst.level}}};
  if (is_one_sided_line(manifold, rules)) {
    f.what = "a line of elements: only its configured side is looked at";
    f.to_do = "what comes from its back is taken for its mirror image: keep it shielded";
    return f;
  }
  f.what = fmt::format("most alike at {}: {:.0f} and {:.0f} deg, by {:.2f}", mhz(span.high_hz),
                       worst.azimuth_deg, worst.looks_like_deg, worst.level);
  if (worst.level < kAlike) return f;
  f.severity = worst.level < kSame ? Severity::warning : Severity::fault;
  f.to_do = array::is_linear(manifold.geometry())
                ? "a line can't tell front from back: set a sector of one side, or use a circle"
                : "set the elements closer, or watch lower channels only";
  return f;
}

Finding check_cables(const array::Manifold& manifold, const FrequencySpan& span) {
  const double f_hz = span.high_hz;
  const double kink_m = kKink_deg / 360.0 * array::kSpeedOfLight_m_s * kVelocityFactor / f_hz;
  const array::CableError longer =
      worst_of(array::cable_errors(manifold, f_hz, kCable_m, kVelocityFactor));
  const array::CableError kinked =
      worst_of(array::cable_errors(manifold, f_hz, kink_m, kVelocityFactor));
  Finding f{
      .area = "cable",
      .what = fmt::format("1 cm more on one cable turns azimuths by up to {:.1f} deg at {}; a "
                          "kink of {:.0f} deg phase by {:.1f} deg",
                          longer.worst_deg, mhz(f_hz), kKink_deg, kinked.worst_deg),
      .figures = {{"cable_1cm_worst_deg", longer.worst_deg},
                  {"cable_1cm_rms_deg", longer.rms_deg},
                  {"kink_10deg_worst_deg", kinked.worst_deg}}};
  if (longer.worst_deg > kMuchError_deg) {
    f.severity = Severity::advice;
    f.to_do =
        "cut cables of one drum to the millimetre, no sharp bends, and calibrate after every "
        "change";
  }
  return f;
}

Finding check_calibration(const array::Manifold& manifold, const array::EstimatorRules& rules,
                          const FrequencySpan& span, Duration max_age, TimePoint now) {
  const array::ArrayCalibration& c = manifold.calibration();
  Finding f{.area = "calibration"};
  if (c.elements.empty() && !manifold.has_table()) {
    f.severity = Severity::warning;
    f.what = rules.allow_uncalibrated ? "none: bearings leave flagged as uncalibrated"
                                      : "none: bearings are withheld";
    f.to_do = "calibrate with a common reference signal or a transmitter of known place";
    return f;
  }
  f.what = fmt::format("{}, of {}, residual {:.1f} deg",
                       c.elements.empty() ? "manifold table" : array::word(c.method),
                       format_rfc3339(c.date, 0).substr(0, 10), c.residual_deg);
  f.figures = {{"residual_deg", c.residual_deg}, {"age_s", seconds(now - c.date)}};
  const bool anywhere = c.low_hz <= 0.0 && c.high_hz <= 0.0;
  if (max_age > Duration{0} && now - c.date > max_age) {
    f.severity = Severity::warning;
    f.what += fmt::format("; older than {:.0f} days", seconds(max_age) / 86'400.0);
    f.to_do = "calibrate anew: until then bearings are withheld or flagged";
  } else if (!anywhere && (span.low_hz < c.low_hz || span.high_hz > c.high_hz)) {
    f.severity = Severity::warning;
    f.what += fmt::format("; holds from {} to {}", mhz(c.low_hz), mhz(c.high_hz));
    f.to_do = "calibrate over all watched channels: outside, bearings are withheld or flagged";
  }
  return f;
}

}  // namespace fixwright::agent::check
