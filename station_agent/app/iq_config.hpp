#pragma once
/// The tables below [source.iq]: where samples come from, the array, what is watched.

#include <memory>
#include <string>
#include <vector>

#include "server/base/clock.hpp"
#include "server/base/config.hpp"
#include "station_agent/source/iq/chain/iq_source.hpp"
#include "station_agent/source/iq/device_stream.hpp"
#include "station_agent/source/iq/feed_stream.hpp"
#include "station_agent/source/iq/recording_stream.hpp"
#include "station_agent/source/iq/scene/scene.hpp"

namespace fixwright::agent {

enum class IqInput { device, recording, feed, scene };

struct IqConfig {
  iq::IqSourceConfig chain;
  IqInput input = IqInput::device;
  iq::DeviceConfig device;
  iq::RecordingConfig recording;
  iq::FeedConfig feed;
  scene::Scene scene;
  Duration scene_lasts{};  // 0: for ever
  std::string station;     // whose scene it is
};

/// \param wanted    whether source.kind is "iq": only then anything is required or opened.
/// \param problems  of files that the table names, one line each.
IqConfig read_iq_config(const ConfigTable& table, bool wanted, const std::string& station,
                        std::vector<std::string>& problems);

/// Fails with all mistakes, a line each. The clock must outlive the stream.
Result<std::unique_ptr<iq::SampleStream>> open_iq_stream(const IqConfig& config,
                                                         const Clock& clock);

}  // namespace fixwright::agent
