#include "server/app/pipeline/fix_rows.hpp"

#include <algorithm>
#include <tuple>

namespace fixwright::app {

namespace {

struct Span {
  TimePoint first;
  TimePoint last;
};

/// Of the used bearings, or of all where none was used.
Span span_of(const Transmission& t, const std::vector<Part>& parts) {
  const bool any_used =
      std::any_of(parts.begin(), parts.end(), [](const Part& p) { return p.used; });
  Span span{TimePoint::max(), TimePoint::min()};
  for (const Part& p : parts) {
    if (any_used && !p.used) continue;
    const TimePoint at = t.bearings[p.index].middle();
    span = {std::min(span.first, at), std::max(span.last, at)};
  }
  return span;
}

double mean_frequency_hz(const Transmission& t, const std::vector<Part>& parts) {
  double mean = 0.0;
  double count = 0.0;
  for (const Part& p : parts) {
    count += 1.0;
    mean += (t.bearings[p.index].frequency_hz - mean) / count;
  }
  return mean;
}

auto shape_of(const CrossFix& f) {
  return std::tie(f.refusal, f.grade, f.position, f.covariance, f.ellipse, f.region_kind,
                  f.chi_square, f.degrees_of_freedom, f.region_open);
}

bool same_velocity(const std::optional<Velocity>& a, const std::optional<Velocity>& b) {
  if (!a || !b) return a.has_value() == b.has_value();
  return std::tie(a->speed_m_per_s, a->course_deg, a->speed_sigma_m_per_s) ==
         std::tie(b->speed_m_per_s, b->course_deg, b->speed_sigma_m_per_s);
}

auto life_of(const Emitter& e) {
  return std::tie(e.key, e.state, e.motion, e.valid_at, e.frequency_hz, e.first_heard, e.last_heard,
                  e.bearings, e.looks, e.stations);
}

}  // namespace

Fix fix_row(const Transmission& transmission, std::int32_t ordinal, const CrossFix& solution,
            std::vector<Part> parts, std::optional<EmitterKey> emitter) {
  std::sort(parts.begin(), parts.end(),
            [](const Part& a, const Part& b) { return a.index < b.index; });
  const Span span = span_of(transmission, parts);
  Fix fix;
  fix.key = {transmission.key, ordinal};
  fix.valid_at = span.first + (span.last - span.first) / 2;
  fix.frequency_hz = mean_frequency_hz(transmission, parts);
  fix.stations = stations_of(parts, transmission);
  fix.solution = solution;
  fix.emitter = emitter;
  for (const Part& p : parts) {
    fix.bearings.push_back({transmission.bearings[p.index].key, p.residual_deg, p.used});
  }
  return fix;
}

bool same_content(const Fix& a, const Fix& b) {
  return std::tie(a.key, a.state, a.valid_at, a.frequency_hz, a.stations, a.bearings, a.emitter) ==
             std::tie(b.key, b.state, b.valid_at, b.frequency_hz, b.stations, b.bearings,
                      b.emitter) &&
         shape_of(a.solution) == shape_of(b.solution);
}

bool same_content(const Emitter& a, const Emitter& b) {
  return life_of(a) == life_of(b) && shape_of(a.fix) == shape_of(b.fix) &&
         same_velocity(a.velocity, b.velocity);
}

}  // namespace fixwright::app
