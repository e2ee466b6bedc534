#include "tests/web/osmere_scene.hpp"

#include <algorithm>
#include <chrono>

#include "server/geodesy/geodesic.hpp"

namespace fixwright::web {

namespace {

using namespace std::chrono_literals;

struct Sketch {
  ChannelId channel = 0;
  double frequency_hz = 0.0;
  GeoPoint position;
  ErrorEllipse ellipse;
  std::vector<StationId> stations;
  RegisterVerdict verdict = RegisterVerdict::undecided;
  EmitterState state = EmitterState::confirmed;
  Duration heard_ago{};

  [[nodiscard]] Sketch as(RegisterVerdict v, EmitterState s, Duration ago) const {
    Sketch out = *this;
    out.verdict = v;
    out.state = s;
    out.heard_ago = ago;
    return out;
  }
};

EmitterView draw(const Sketch& s, TimePoint now) {
  EmitterView view = osmere_emitter(s.channel, 1'893'456'000'000'000'000 + s.channel);
  Emitter& e = view.emitter;
  e.frequency_hz = s.frequency_hz;
  e.fix.position = s.position;
  e.fix.ellipse = s.ellipse;
  e.fix.grade = s.stations.size() < 3 ? FixGrade::unchecked : FixGrade::checked;
  e.stations = s.stations;
  e.state = s.state;
  e.last_heard = now - s.heard_ago;
  e.valid_at = e.last_heard;
  e.first_heard = now - 1h - s.channel * 1s;
  view.match->emitter = e.key;
  view.match->verdict = s.verdict;
  return view;
}

/// Each station's bearing points at the emitter but for a small error; HARROW-HILL's, where it
/// took part in 433.92 MHz, came by a reflection and was set aside.
FixView fix_of(const EmitterView& view, TimePoint now) {
  FixView out;
  out.fix.key = {{view.emitter.key.channel, now}, 0};
  out.fix.state = ResultState::revised;
  out.fix.valid_at = view.emitter.last_heard;
  out.fix.emitter = view.emitter.key;
  out.fix.solution = view.emitter.fix;
  out.fix.frequency_hz = view.emitter.frequency_hz;
  std::uint64_t sequence = 100;
  for (const StationView& s : osmere_stations()) {
    const auto& heard = view.emitter.stations;
    if (std::find(heard.begin(), heard.end(), s.station.id) == heard.end()) continue;
    const bool aside = s.station.id == 4 && view.emitter.key.channel == 12;
    const double residual_deg = aside ? 41.0 : 0.4 * (s.station.id - 2);
    const auto line = geodesy::inverse(s.station.position, view.emitter.fix.position);
    FixBearingView bearing;
    bearing.part = {{s.station.id, 1, ++sequence}, residual_deg, !aside};
    bearing.azimuth_deg = line.azimuth1_deg + residual_deg;
    bearing.sigma_deg = 1.0;
    out.bearings.push_back(bearing);
    if (!aside) ++out.fix.stations;
  }
  return out;
}

using V = RegisterVerdict;
using S = EmitterState;

std::vector<Sketch> confirmed() {
  return {
      Sketch{12, 433.92e6, {41.245, -150.350}, {640, 310, 38, 0.95}, {1, 2, 3, 4}}.as(
          V::unregistered, S::confirmed, 3s),
      Sketch{13, 156.8e6, {40.995, -150.255}, {1450, 520, 152, 0.95}, {2, 3, 4}}.as(
          V::registered, S::confirmed, 8s),
      Sketch{14, 145.6125e6, {41.236, -150.330}, {380, 260, 80, 0.95}, {1, 2, 3, 4}}.as(
          V::registered, S::confirmed, 150s),
      Sketch{16, 169.4e6, {41.385, -150.235}, {820, 700, 10, 0.95}, {1, 2, 3}}.as(
          V::position_disagrees, S::confirmed, 12s),
  };
}

std::vector<Sketch> others() {
  return {
      Sketch{15, 446.00625e6, {41.165, -150.045}, {2900, 780, 65, 0.95}, {2, 3}}.as(
          V::undecided, S::tentative, 21s),
      Sketch{17, 2.182e6, {41.120, -150.470}, {2100, 1200, 120, 0.95}, {1, 3, 4}}.as(
          V::undecided, S::silent, 55min),
      Sketch{18, 462.5625e6, {41.300, -150.520}, {1200, 450, 95, 0.95}, {1, 2, 4}}.as(
          V::unregistered, S::tentative, 7min),
  };
}

}  // namespace

void set_scene(FakePagePort& port, TimePoint now) {
  auto sketches = confirmed();
  for (const Sketch& sketch : others()) sketches.push_back(sketch);
  for (const Sketch& sketch : sketches) {
    const EmitterView view = draw(sketch, now);
    port.store(view);
    port.add(fix_of(view, now));
  }
  AlertView alert = osmere_alert("new-12");
  alert.alert.raised_at = now - 4min;
  alert.alert.emitter = EmitterKey{12, 1'893'456'000'000'000'012};
  alert.alert.message = "433.920 MHz: heard by three stations, not found in the register";
  port.store(alert);
}

void add_new_emitter(FakePagePort& port, TimePoint now) {
  const Sketch sketch{99,
                      27.185e6,
                      {41.330, -150.330},
                      {900, 420, 20, 0.95},
                      {1, 2, 4},
                      RegisterVerdict::unregistered,
                      EmitterState::tentative,
                      0s};
  EmitterView view = draw(sketch, now);
  view.emitter.first_heard = now;
  port.add(fix_of(view, now));
  port.store(view);
}

void hear_all(FakePagePort& port, TimePoint now) {
  for (EmitterView view : port.emitters({})) {
    view.emitter.last_heard = now;
    ++view.emitter.revision;
    port.store(view);
  }
}

}  // namespace fixwright::web
