#pragma once
/// The rules a bearing must keep by itself, whoever sent it and whenever.

#include <optional>
#include <string>

#include "server/ingest/refusal.hpp"
#include "server/model/bearing.hpp"
#include "server/model/station.hpp"

namespace fixwright::ingest {

/// A rule that was broken: which, and value, rule and remedy in words.
struct RuleBroken {
  RefusalReason reason = RefusalReason::sequence_order;
  std::string why;
};

/// How far t is ahead of now; negative when behind. Their difference in nanoseconds could
/// overflow; in seconds it is good to a microsecond.
double seconds_ahead(TimePoint t, TimePoint now);

/// The first broken rule of time and clock error against `now`: time_range, clock,
/// clock_error_range, integration_range.
std::optional<RuleBroken> check_time(const Bearing& b, TimePoint now, double max_ahead_s,
                                     double max_age_days);

/// The first broken rule of what was measured: frequency_range, azimuth_range, sigma_range,
/// alternative_range, level_range, bandwidth_range, label_range.
std::optional<RuleBroken> check_measurement(const Bearing& b);

/// Of the place a moving station says it stood at.
std::optional<RuleBroken> check_position(const Bearing& b, bool station_moves);

/// Highest frequency taken, 300 GHz, as station.proto says. Spectrum is allocated to 275 GHz (ITU
/// Radio Regulations, article 5; from memory).
inline constexpr double kMaxFrequencyHz = 3e11;

}  // namespace fixwright::ingest
