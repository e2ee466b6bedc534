#include "station_agent/app/simulate.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "station_agent/source/iq/scene/renderer.hpp"
#include "station_agent/source/iq/scene/scene_config.hpp"

namespace fixwright::agent {

namespace {

constexpr std::size_t kBlockFrames = 16'384;
constexpr Duration kMovingInterval = std::chrono::seconds{1};
constexpr double kCarrierWidth_hz = 100.0;  // an annotation needs two edges

struct Stretch {
  Duration from{};  // since the recording's start
  Duration to{};
};

/// Every time the schedule is on within the recording, cut where `longest` says.
std::vector<Stretch> stretches(const Schedule& schedule, Duration since_scene, Duration lasts,
                               Duration longest) {
  std::vector<Stretch> all;
  const auto add = [&](Duration from, Duration to) {
    for (from = std::max(from, Duration{0}); from < std::min(to, lasts); from += longest) {
      all.push_back({from, std::min({from + longest, to, lasts})});
    }
  };
  if (schedule.period <= Duration{0}) {
    add(Duration{0}, lasts);
    return all;
  }
  Duration first = (schedule.offset - since_scene) % schedule.period;
  if (first > Duration{0}) first -= schedule.period;
  for (Duration on = first; on < lasts; on += schedule.period) add(on, on + schedule.on);
  return all;
}

iq::SigmfAnnotation annotation(const scene::Scene& scene, const scene::SceneStation& station,
                               const scene::SceneEmitter& emitter, TimePoint start,
                               const Stretch& stretch) {
  const auto frame = [&](Duration d) {
    return static_cast<std::uint64_t>(std::llround(seconds(d) * station.rate_hz));
  };
  const scene::Arrival there =
      arrival(scene, station, emitter, start + stretch.from + (stretch.to - stretch.from) / 2);
  const double half_hz = std::max(nominal_bandwidth_hz(emitter.signal), kCarrierWidth_hz) / 2.0;
  iq::SigmfAnnotation a;
  a.sample_start = frame(stretch.from);
  a.sample_count = frame(stretch.to) - a.sample_start;
  a.freq_lower_edge_hz = emitter.frequency_hz - half_hz;
  a.freq_upper_edge_hz = emitter.frequency_hz + half_hz;
  a.label = emitter.name;
  a.generator = "fixwright-station simulate";
  a.comment = fmt::format("true azimuth {:.3f} deg, level {:.2f} dBFS", there.azimuth_deg,
                          there.level_dbfs);
  if (!emitter.common_reference) {
    a.signal_azimuth_deg = wrap_360(there.azimuth_deg - station.geometry.orientation_deg);
  }
  return a;
}

Result<bool> write_station(const scene::Scene& scene, const scene::SceneStation& station,
                           const SimulateConfig& config, const iq::SampleType& type) {
  const TimePoint start = config.start.value_or(scene.start);
  iq::SigmfWriterConfig file;
  file.stem = config.out / station.name;
  file.type = type;
  file.format.rate_hz = station.rate_hz;
  file.format.centre_hz = station.centre_hz;
  file.format.elements = station.geometry.elements.size();
  file.format.array = iq::StreamArray{station.geometry, true};
  file.description =
      station.name + " of " + config.scenario.filename().string() + ": made, never on the air";
  auto opened = iq::SigmfWriter::open(file);
  if (!opened) return Error{opened.error()};
  const auto writer = std::move(opened).value();
  scene::Renderer renderer(scene, station.name, start);
  SampleBlock block;
  const auto frames = static_cast<std::uint64_t>(seconds(config.lasts) * station.rate_hz);
  while (writer->frames_written() < frames) {
    renderer.render(std::min<std::size_t>(kBlockFrames, frames - writer->frames_written()), block);
    if (const auto written = writer->write(block); !written) return Error{written.error()};
  }
  for (iq::SigmfAnnotation& a : truth_of(scene, station, start, config.lasts)) {
    writer->annotate(std::move(a));
  }
  return writer->finish();
}

}  // namespace

std::vector<iq::SigmfAnnotation> truth_of(const scene::Scene& scene,
                                          const scene::SceneStation& station, TimePoint start,
                                          Duration lasts) {
  std::vector<iq::SigmfAnnotation> all;
  for (const scene::SceneEmitter& e : scene.emitters) {
    if (!is_in_band(station, e)) continue;
    const bool moves = !e.path.empty() && e.path.front().moves();
    const Duration longest = moves ? kMovingInterval : lasts;
    for (const Stretch& s : stretches(e.schedule, start - scene.start, lasts, longest)) {
      all.push_back(annotation(scene, station, e, start, s));
    }
  }
  return all;
}

Result<std::vector<std::string>> simulate(const SimulateConfig& config) {
  const auto type = iq::parse_sample_type(config.type);
  if (!type || !type->complex) {
    return Error{fmt::format(
        "--type {}: must be a complex sample type of SigMF, like ci8 or cf32_le", config.type)};
  }
  const scene::SceneFile file = scene::load_scene(config.scenario);
  if (!file.problems.empty()) {
    std::string lines = file.problems.front();
    for (std::size_t i = 1; i < file.problems.size(); ++i) lines += "\n" + file.problems[i];
    return Error{lines};
  }
  std::vector<std::string> names = config.stations;
  for (const auto& s : file.scene.stations) {
    if (config.stations.empty()) names.push_back(s.name);
  }
  std::error_code failed;
  std::filesystem::create_directories(config.out, failed);
  if (failed) return Error{fmt::format("{}: {}", config.out.string(), failed.message())};
  for (const std::string& name : names) {
    const scene::SceneStation* station = file.scene.station(name);
    if (station == nullptr) {
      return Error{fmt::format("{}: holds no station named {}", config.scenario.string(), name)};
    }
    const auto written = write_station(file.scene, *station, config, *type);
    if (!written) return Error{written.error()};
  }
  return names;
}

}  // namespace fixwright::agent
