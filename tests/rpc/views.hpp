#pragma once
/// Stored values for the query tests: emitters of the island Osmere.

#include <string>

#include "server/model/views.hpp"

namespace fixwright::rpc {

inline TimePoint at_second(std::int64_t s) { return TimePoint{std::chrono::seconds{s}}; }

inline StationView station_view(StationId id, const std::string& name) {
  StationView view;
  view.station.id = id;
  view.station.name = name;
  view.station.position = {41.430, -150.450};
  return view;
}

inline EmitterView emitter_view(std::int64_t id, std::int64_t last_heard_s) {
  EmitterView view;
  view.emitter.key = {12, id};
  view.emitter.state = EmitterState::confirmed;
  view.emitter.fix.grade = FixGrade::checked;
  view.emitter.fix.position = {41.2, -150.3};
  view.emitter.fix.covariance = {400.0, 10.0, 900.0};
  view.emitter.fix.ellipse = {73.5, 48.9, 3.5, 0.95};
  view.emitter.frequency_hz = 156.8e6;
  view.emitter.first_heard = at_second(last_heard_s - 60);
  view.emitter.last_heard = at_second(last_heard_s);
  view.emitter.bearings = 30;
  view.emitter.stations = {1, 2};
  return view;
}

}  // namespace fixwright::rpc
