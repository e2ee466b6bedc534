#include "server/ingest/bearing_checks.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <string_view>

namespace fixwright::ingest {

namespace {

using std::chrono::hours;
using Broken = std::optional<RuleBroken>;

constexpr Duration kMaxIntegration = std::chrono::seconds{60};
constexpr Duration kMaxClockError = hours{1};
constexpr std::size_t kMaxAlternatives = 8;
constexpr std::size_t kMaxLabelBytes = 64;

bool in_azimuth_range(double deg) { return deg >= 0.0 && deg < 360.0; }           // false for NaN
bool in_frequency_range(double hz) { return hz > 0.0 && hz <= kMaxFrequencyHz; }  // false for NaN

Broken check_clock_error(const Bearing& b) {
  if (b.clock_error == Duration::min()) {
    return RuleBroken{RefusalReason::clock_error_range,
                      "no clock error is stated, so its time is worth nothing; update the agent"};
  }
  if (b.clock_error < Duration{0} || b.clock_error > kMaxClockError) {
    return RuleBroken{RefusalReason::clock_error_range,
                      fmt::format("clock error {} s is outside [0, 3600]; discipline the "
                                  "station's clock",
                                  seconds(b.clock_error))};
  }
  return std::nullopt;
}

Broken check_frequency(const Bearing& b) {
  if (in_frequency_range(b.frequency_hz)) return std::nullopt;
  return RuleBroken{RefusalReason::frequency_range,
                    fmt::format("frequency {} Hz is outside (0, 3e11]; check the unit in the "
                                "agent's mapping",
                                b.frequency_hz)};
}

Broken check_azimuth(const Bearing& b) {
  if (in_azimuth_range(b.azimuth_deg)) return std::nullopt;
  return RuleBroken{RefusalReason::azimuth_range,
                    fmt::format("azimuth {} deg is outside [0, 360); check the convention in the "
                                "agent's mapping",
                                b.azimuth_deg)};
}

Broken check_sigma(const Bearing& b) {
  if (b.sigma_deg > 0.0 && b.sigma_deg <= 90.0) return std::nullopt;
  return RuleBroken{RefusalReason::sigma_range,
                    fmt::format("sigma {} deg is outside (0, 90]; a bearing without an error says "
                                "nothing, set a default sigma in the agent",
                                b.sigma_deg)};
}

Broken check_alternatives(const Bearing& b) {
  if (b.alternatives.size() > kMaxAlternatives) {
    return RuleBroken{RefusalReason::alternative_range,
                      fmt::format("{} alternative azimuths, at most {}; send the likeliest",
                                  b.alternatives.size(), kMaxAlternatives)};
  }
  for (const auto& a : b.alternatives) {
    if (in_azimuth_range(a.azimuth_deg) && a.weight > 0.0 && a.weight <= 1.0) continue;
    return RuleBroken{RefusalReason::alternative_range,
                      fmt::format("alternative azimuth {} deg of weight {}: must be in [0, 360) "
                                  "and (0, 1]; check the agent's mapping",
                                  a.azimuth_deg, a.weight)};
  }
  return std::nullopt;
}

Broken level_problem(std::string_view what, double value, std::string_view rule) {
  return RuleBroken{RefusalReason::level_range,
                    fmt::format("{} {} {}; leave it out where it is not known", what, value, rule)};
}

Broken check_levels(const Bearing& b) {
  if (b.field_strength_dbuv_per_m && !std::isfinite(*b.field_strength_dbuv_per_m)) {
    return level_problem("field strength", *b.field_strength_dbuv_per_m, "dBuV/m is not a number");
  }
  if (b.level_dbfs && !(std::isfinite(*b.level_dbfs) && *b.level_dbfs <= 0.0)) {
    return level_problem("level", *b.level_dbfs, "dBFS must be 0 or below");
  }
  if (b.snr_db && !std::isfinite(*b.snr_db)) {
    return level_problem("SNR", *b.snr_db, "dB is not a number");
  }
  return std::nullopt;
}

Broken check_bandwidth(const Bearing& b) {
  if (!b.bandwidth_hz || in_frequency_range(*b.bandwidth_hz)) return std::nullopt;
  return RuleBroken{RefusalReason::bandwidth_range,
                    fmt::format("bandwidth {} Hz is outside (0, 3e11]; leave it out where it is "
                                "not known",
                                *b.bandwidth_hz)};
}

/// Control characters would let a sender forge log lines. The label itself is not repeated.
Broken check_label(const Bearing& b) {
  if (!b.label) return std::nullopt;
  if (b.label->size() > kMaxLabelBytes) {
    return RuleBroken{RefusalReason::label_range,
                      fmt::format("label of {} bytes, at most {}; shorten it in the agent",
                                  b.label->size(), kMaxLabelBytes)};
  }
  const auto is_control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; };
  if (std::any_of(b.label->begin(), b.label->end(), is_control)) {
    return RuleBroken{RefusalReason::label_range,
                      "label has control characters; strip them in the agent"};
  }
  return std::nullopt;
}

Broken check_integration(const Bearing& b) {
  if (b.integration >= Duration{0} && b.integration <= kMaxIntegration) return std::nullopt;
  return RuleBroken{RefusalReason::integration_range,
                    fmt::format("integration {} s is outside [0, 60]; check the unit in the "
                                "agent's mapping",
                                seconds(b.integration))};
}

Broken check_start(const Bearing& b, TimePoint now, double max_ahead_s, double max_age_days) {
  const double ahead_s = seconds_ahead(b.start, now);
  const double allowed_s = max_ahead_s + seconds(b.clock_error);
  if (ahead_s > allowed_s) {
    return RuleBroken{RefusalReason::clock,
                      fmt::format("start time {} is {:.3f} s ahead of the server's clock, at most "
                                  "{:.3f}; set the station's clock",
                                  format_rfc3339(b.start), ahead_s, allowed_s)};
  }
  const double age_days = -ahead_s / 86400.0;
  if (age_days > max_age_days) {
    return RuleBroken{RefusalReason::clock,
                      fmt::format("start time {} is {:.1f} days old, at most {}; set the station's "
                                  "clock, or raise ingest.max_age_days to take old history",
                                  format_rfc3339(b.start), age_days, max_age_days)};
  }
  return std::nullopt;
}

/// The first of several checks that finds something.
template <typename... Checks>
Broken first_of(const Bearing& b, Checks... checks) {
  Broken broken;
  static_cast<void>(((broken = checks(b)).has_value() || ...));
  return broken;
}

}  // namespace

double seconds_ahead(TimePoint t, TimePoint now) {
  return seconds(t.time_since_epoch()) - seconds(now.time_since_epoch());
}

std::optional<RuleBroken> check_time(const Bearing& b, TimePoint now, double max_ahead_s,
                                     double max_age_days) {
  // The far ends stand for "none" and "ours cannot hold it"; their difference from now would
  // overflow.
  if (b.start == TimePoint::min() || b.start == TimePoint::max()) {
    return RuleBroken{RefusalReason::time_range,
                      "start time is missing or outside the years 1678 to 2261; set the "
                      "station's clock or mend the agent's mapping"};
  }
  if (auto broken = check_clock_error(b)) return broken;
  if (auto broken = check_start(b, now, max_ahead_s, max_age_days)) return broken;
  return check_integration(b);
}

std::optional<RuleBroken> check_measurement(const Bearing& b) {
  return first_of(b, check_frequency, check_azimuth, check_sigma, check_alternatives, check_levels,
                  check_bandwidth, check_label);
}

std::optional<RuleBroken> check_position(const Bearing& b, bool station_moves) {
  if (!station_moves) {
    if (!b.station_moves) return std::nullopt;
    return RuleBroken{RefusalReason::position,
                      "it says where the station stood, but the station is registered as fixed; "
                      "register it with kind = \"vehicle\", or stop sending positions"};
  }
  if (!b.station_moves) {
    return RuleBroken{RefusalReason::position,
                      "the station is registered as moving, but it does not say where it stood; "
                      "let the agent send positions"};
  }
  const GeoPoint& p = b.station_position;
  const bool ok = std::abs(p.latitude_deg) <= 90.0 && p.longitude_deg >= -180.0 &&
                  p.longitude_deg < 180.0;  // false for NaN
  constexpr double kWorst_m = 100'000.0;
  if (ok && !(b.station_sigma_m >= 0.0 && b.station_sigma_m <= kWorst_m)) {
    return RuleBroken{RefusalReason::position,
                      fmt::format("error of the station position {} m is outside 0 to 100000; "
                                  "check the agent's receiver of positions",
                                  b.station_sigma_m)};
  }
  if (ok) return std::nullopt;
  return RuleBroken{RefusalReason::position,
                    fmt::format("station position {}, {} is outside [-90, 90] and [-180, 180); "
                                "check the agent's receiver of positions",
                                p.latitude_deg, p.longitude_deg)};
}

}  // namespace fixwright::ingest
