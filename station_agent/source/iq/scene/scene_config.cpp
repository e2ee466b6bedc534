#include "station_agent/source/iq/scene/scene_config.hpp"

#include <fmt/core.h>

#include <array>
#include <set>

#include "server/base/angle.hpp"
#include "station_agent/source/iq/scene/emitter_config.hpp"

namespace fixwright::agent::scene {

namespace {

struct FaultWord {
  FaultKind kind;
  std::string_view word;
};
constexpr std::array<FaultWord, 9> kFaultWords{{{FaultKind::dead, "dead"},
                                                {FaultKind::deaf, "deaf"},
                                                {FaultKind::stuck, "stuck"},
                                                {FaultKind::swapped, "swapped"},
                                                {FaultKind::slip, "slip"},
                                                {FaultKind::rotation, "rotation"},
                                                {FaultKind::phase_step, "phase_step"},
                                                {FaultKind::drop, "drop"},
                                                {FaultKind::clock_step, "clock_step"}}};

/// Elements count from 1 in the file, as on the receiver's front.
std::size_t read_element(const ConfigTable& t, std::string_view key, const SceneStation& station) {
  const auto last = static_cast<std::int64_t>(station.geometry.elements.size());
  if (last < 2) return 0;  // told already
  return static_cast<std::size_t>(t.integer(key, {.min = 1, .max = last, .fallback = 1})) - 1;
}

Fault read_fault(const ConfigTable& t, const SceneStation& station) {
  std::vector<std::string> words;
  for (const FaultWord& f : kFaultWords) words.emplace_back(f.word);
  const std::string kind =
      t.text("kind", {.fallback = "", .required = true, .one_of = std::move(words)});
  Fault fault;
  for (const FaultWord& f : kFaultWords) {
    if (f.word == kind) fault.kind = f.kind;
  }
  fault.at = from_seconds(t.number("at_s", {.min = 0.0, .max = 1e6}));
  fault.element = read_element(t, "element", station);
  fault.other = read_element(t, "other", station);
  fault.frames = static_cast<std::uint64_t>(
      t.integer("frames", {.min = 0, .max = fault.kind == FaultKind::slip ? 1000 : 100'000'000}));
  fault.value = t.number("value", {.min = -1e6, .max = 1e6});
  return fault;
}

Echo read_echo(const ConfigTable& t) {
  Echo e;
  e.emitter = t.text("emitter");
  e.azimuth_deg = t.number("azimuth_deg", {.min = 0.0, .max = 360.0, .required = true});
  e.ratio = t.number("ratio", {.min = 0.0, .max = 10.0, .required = true});
  e.phase_deg = t.number("phase_deg", {.min = -360.0, .max = 360.0});
  e.delay_s = t.number("delay_s", {.min = 0.0, .max = kMaxDelay_s});
  return e;
}

array::ArrayGeometry read_geometry(const ConfigTable& t) {
  array::ArrayGeometry geometry;
  const std::string shape = t.text(
      "shape", {.fallback = "circle", .required = false, .one_of = {"circle", "line", "free"}});
  const int count = static_cast<int>(t.integer(
      "elements", {.min = array::kMinElements, .max = array::kMaxElements, .fallback = 5}));
  const double radius_m = t.number("radius_m", {.min = 0.001, .max = 100.0, .fallback = 0.5});
  const double first_deg = t.number("first_deg", {.min = -360.0, .max = 360.0});
  const double spacing_m = t.number("spacing_m", {.min = 0.001, .max = 100.0, .fallback = 0.5});
  if (shape == "circle") geometry = array::circular_array(count, radius_m, first_deg);
  if (shape == "line") geometry = array::linear_array(count, spacing_m);
  const NumberRule place{.min = -100.0, .max = 100.0};
  for (const ConfigTable& e : t.tables("element")) {
    if (shape != "free") continue;
    geometry.elements.push_back(
        {e.number("x_m", place), e.number("y_m", place), e.number("z_m", place)});
  }
  geometry.orientation_deg = wrap_360(t.number("orientation_deg", {.min = -360.0, .max = 360.0}));
  const std::string problem = array::geometry_problem(geometry);
  if (!problem.empty()) t.complain("shape", problem);
  return geometry;
}

/// Given one by one, or drawn with these spreads.
std::vector<array::ElementResponse> read_responses(const ConfigTable& t, std::uint64_t seed,
                                                   const SceneStation& station) {
  std::vector<array::ElementResponse> all(station.geometry.elements.size());
  const double gain_db = t.number("gain_spread_db", {.min = 0.0, .max = 20.0});
  const double phase_deg = t.number("phase_spread_deg", {.min = 0.0, .max = 180.0});
  const double delay_s = t.number("delay_spread_s", {.min = 0.0, .max = 1e-6});
  Chance chance(seed, station.name, "responses");
  for (array::ElementResponse& r : all) {
    r.gain_db = gain_db * chance.normal();
    r.phase_deg = phase_deg * chance.normal();
    r.delay_s = delay_s * chance.normal();
  }
  const auto given = t.tables("response");
  if (given.size() > all.size()) t.complain("response", "there are more of them than elements");
  for (std::size_t e = 0; e < given.size() && e < all.size(); ++e) {
    all[e].gain_db = given[e].number("gain_db", {.min = -60.0, .max = 60.0});
    all[e].phase_deg = given[e].number("phase_deg", {.min = -360.0, .max = 360.0});
    all[e].delay_s = given[e].number("delay_s", {.min = -1e-6, .max = 1e-6});
  }
  return all;
}

SceneStation read_station(const ConfigTable& t, std::uint64_t seed, std::set<std::string>& names) {
  SceneStation s;
  s.name = read_name(t, names);
  s.position = read_point(t);
  s.geometry = read_geometry(t.table("array"));
  s.rate_hz = t.number("rate_hz", {.min = 1e3, .max = 1e7, .required = true});
  s.centre_hz = t.number("centre_hz", {.min = 1.0, .max = 3e11, .required = true});
  s.noise_dbfs = t.number("noise_dbfs", {.min = -300.0, .max = 0.0, .fallback = -45.0});
  s.full_scale_dbm = t.number("full_scale_dbm", {.min = -150.0, .max = 60.0, .fallback = -40.0});
  s.bits = static_cast<int>(t.integer("bits", {.min = 0, .max = 16, .fallback = 8}));
  if (s.bits == 1) t.complain("bits", "must be 0, for no converter, or 2 to 16");
  s.responses = read_responses(t.table("array"), seed, s);
  const ConfigTable coupling = t.table("coupling");
  s.coupling = coupling.number("amplitude", {.min = 0.0, .max = 0.9});
  s.coupling_phase_deg = coupling.number("phase_deg", {.min = -360.0, .max = 360.0});
  for (const ConfigTable& e : t.tables("echo")) s.echoes.push_back(read_echo(e));
  for (const ConfigTable& f : t.tables("fault")) s.faults.push_back(read_fault(f, s));
  return s;
}

void read_start(const ConfigTable& root, Scene& scene) {
  const std::string text =
      root.text("start", {.fallback = "1970-01-01T00:00:00Z", .required = false, .one_of = {}});
  const auto start = parse_rfc3339(text);
  if (!start) return root.complain("start", "must be RFC 3339, like 2031-05-04T10:15:00Z");
  scene.start = *start;
}

/// Names that lead nowhere would otherwise silently do nothing.
void check_echoes(const ConfigTable& root, const Scene& scene, const std::set<std::string>& names) {
  for (const SceneStation& s : scene.stations) {
    for (const Echo& e : s.echoes) {
      if (!e.emitter.empty() && !names.contains(e.emitter)) {
        root.complain("station",
                      fmt::format("{}: echo names no emitter of this file: {}", s.name, e.emitter));
      }
    }
  }
}

/// What would not fit into the sampled band comes out folded elsewhere in it.
void check_widths(const ConfigTable& root, const Scene& scene) {
  for (const SceneStation& s : scene.stations) {
    for (const SceneEmitter& e : scene.emitters) {
      if (is_in_band(s, e) && nominal_bandwidth_hz(e.signal) >= s.rate_hz / 2.0) {
        root.complain("emitter", fmt::format("{}: {:.0f} Hz wide, more than half of the rate of {}",
                                             e.name, nominal_bandwidth_hz(e.signal), s.name));
      }
    }
  }
}

SceneFile read_scene(const ConfigFile& file) {
  SceneFile result;
  Scene& scene = result.scene;
  const ConfigTable root = file.root();
  scene.seed =
      static_cast<std::uint64_t>(root.integer("seed", {.min = 0, .max = INT64_MAX, .fallback = 1}));
  read_start(root, scene);
  std::set<std::string> stations;
  std::set<std::string> emitters;
  for (const ConfigTable& t : root.tables("station")) {
    scene.stations.push_back(read_station(t, scene.seed, stations));
  }
  for (const ConfigTable& t : root.tables("emitter")) {
    scene.emitters.push_back(read_emitter(t, emitters));
  }
  check_echoes(root, scene, emitters);
  check_widths(root, scene);
  result.problems = file.problems();
  return result;
}

}  // namespace

std::string_view word(FaultKind kind) { return kFaultWords[static_cast<std::size_t>(kind)].word; }

SceneFile load_scene(const std::filesystem::path& path) {
  const auto file = ConfigFile::from_path(path);
  if (!file) return {{}, {file.error()}};
  return read_scene(*file);
}

SceneFile parse_scene(std::string_view toml, std::string_view name) {
  const auto file = ConfigFile::from_text(toml, name);
  if (!file) return {{}, {file.error()}};
  return read_scene(*file);
}

}  // namespace fixwright::agent::scene
