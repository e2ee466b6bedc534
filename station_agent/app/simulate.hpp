#pragma once
/// A scene written as SigMF recordings, one a station, with the truth in annotations.

#include <filesystem>
#include <string>
#include <vector>

#include "server/base/result.hpp"
#include "server/base/time.hpp"
#include "station_agent/source/iq/scene/scene.hpp"
#include "station_agent/source/iq/sigmf_writer.hpp"

namespace fixwright::agent {

struct SimulateConfig {
  std::filesystem::path scenario;     // the scene's file
  std::filesystem::path out;          // folder, made where it is not there
  std::vector<std::string> stations;  // empty: all of the scene
  Duration lasts = std::chrono::seconds{10};
  std::optional<TimePoint> start;  // absent: the scene's
  std::string type = "ci8";        // SigMF's word; complex
};

/// When each emitter in the station's band is on, as annotations: edges, name, true azimuth from
/// the array's boresight, level. One that moves has a new one every second.
std::vector<iq::SigmfAnnotation> truth_of(const scene::Scene& scene,
                                          const scene::SceneStation& station, TimePoint start,
                                          Duration lasts);

/// Writes OUT/STATION.sigmf-data and .sigmf-meta for each.
/// \return the names written; or all mistakes, a line each.
Result<std::vector<std::string>> simulate(const SimulateConfig& config);

}  // namespace fixwright::agent
