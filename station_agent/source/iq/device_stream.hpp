#pragma once
/// Samples out of a coherent receiver (device.hpp).

#include <memory>

#include "server/base/clock.hpp"
#include "station_agent/source/iq/device.hpp"
#include "station_agent/source/iq/sample_stream.hpp"

namespace fixwright::agent::iq {

enum class DeviceTime {
  host,    // our clock's; the device's own, where it has one, only counts lost frames
  device,  // the device's clock is UTC, from GNSS
};

struct DeviceConfig {
  DeviceSettings settings{};
  DeviceTime time = DeviceTime::host;
  std::size_t block_frames = 0;  // 0: by default_block_frames()
};

/// Opens the device with the first read. One that is not there, or is lost, is tried again after a
/// wait of 1 to 30 s; one that can't be what the configuration wants ends the stream with
/// ReadState::failed. An overflow is a gap: its length is told by the device's clock, else by ours.
/// tune() takes effect with the next read; what was under way is dropped. The clock must outlive
/// the stream.
std::unique_ptr<SampleStream> open_device(const DeviceConfig& config, const Clock& clock);

}  // namespace fixwright::agent::iq
