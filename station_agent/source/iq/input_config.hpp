#pragma once
/// [source.iq] of the configuration, as far as it says where samples come from.
/// deploy/config/station.toml says what each key means.

#include <memory>

#include "server/base/clock.hpp"
#include "server/base/config.hpp"
#include "server/base/result.hpp"
#include "station_agent/source/iq/device_stream.hpp"
#include "station_agent/source/iq/feed_stream.hpp"
#include "station_agent/source/iq/recording_stream.hpp"
#include "station_agent/source/iq/sample_stream.hpp"

namespace fixwright::agent::iq {

enum class IqInputKind { recording, feed, device };

struct IqInputConfig {
  IqInputKind kind = IqInputKind::recording;
  RecordingConfig recording{};
  FeedConfig feed{};
  DeviceConfig device{};
};

/// Mistakes are noted in the table's file. \param chosen  whether this source is to be used: only
/// then must what the input needs be complete. Of the table [source.iq] only the keys of the input
/// are read: others are for others.
IqInputConfig read_iq_input_config(const ConfigTable& iq, bool chosen);

/// Fails with one line or more when a recording can't be read. The clock must outlive the stream.
Result<std::unique_ptr<SampleStream>> open_iq_input(const IqInputConfig& config,
                                                    const Clock& clock);

}  // namespace fixwright::agent::iq
