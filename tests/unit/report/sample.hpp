#pragma once
/// A fix and an emitter off Osmere, with a value in every field.

#include "server/geodesy/ellipse.hpp"
#include "server/model/views.hpp"

namespace fixwright::report::testing {

inline TimePoint at(const char* rfc3339) { return *parse_rfc3339(rfc3339); }

inline CrossFix accepted_fix(GeoPoint position = {41.2, -150.3}) {
  CrossFix f;
  f.position = position;
  f.covariance = {10'000.0, 3'000.0, 40'000.0};
  f.ellipse = geodesy::error_ellipse(f.covariance, 0.95);
  f.grade = FixGrade::checked;
  f.chi_square = 1.2345678;
  f.degrees_of_freedom = 1;
  f.p_value = 0.27;
  f.crossing_deg = 71.0;
  return f;
}

inline CrossFix refused_fix() {
  CrossFix f;
  f.refusal = Refusal::poor_geometry;
  return f;
}

inline Fix sample_fix(CrossFix solution = accepted_fix()) {
  Fix f;
  f.key = {{1017, at("2031-05-04T10:15:02.25Z")}, 1};
  f.revision = 3;
  f.state = ResultState::final;
  f.valid_at = at("2031-05-04T10:15:03.5Z");
  f.frequency_hz = 433'920'000.0;
  f.stations = 3;
  f.solution = std::move(solution);
  f.bearings = {{{1, 9, 4}, 0.3, true},
                {{2, 9, 8}, -0.2, true},
                {{3, 9, 2}, 0.1, true},
                {{4, 9, 7}, 40.0, false}};
  f.emitter = EmitterKey{1017, 77};
  return f;
}

inline Emitter sample_emitter(CrossFix fix = accepted_fix()) {
  Emitter e;
  e.key = {1017, 77};
  e.state = EmitterState::confirmed;
  e.fix = std::move(fix);
  e.valid_at = e.last_heard = at("2031-05-04T10:15:03.5Z");
  e.first_heard = at("2031-05-04T09:00:00Z");
  e.frequency_hz = 433'920'000.0;
  e.bearings = 321;
  e.looks = 40;
  e.stations = {1, 2, 3};
  return e;
}

inline RegisterMatch sample_match(RegisterVerdict verdict) {
  RegisterMatch m{{1017, 77}, verdict, 0.97, {}, {}};
  m.licence = "OSM-12";
  m.distance_m = 2143.21;
  m.frequency_offset_hz = 5230.0;
  return m;
}

inline EmitterView sample_view() {
  return {sample_emitter(),
          sample_match(RegisterVerdict::position_disagrees),
          "Lantern relay",
          false,
          {}};
}

}  // namespace fixwright::report::testing
