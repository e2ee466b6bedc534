#pragma once
/// Samples out of a SigMF recording.

#include <memory>
#include <string>

#include "server/base/clock.hpp"
#include "server/base/result.hpp"
#include "station_agent/source/iq/pacer.hpp"
#include "station_agent/source/iq/recording_plan.hpp"
#include "station_agent/source/iq/sample_stream.hpp"

namespace fixwright::agent::iq {

struct RecordingConfig {
  std::string path;  // x.sigmf-meta, x.sigmf-data or x
  RecordingHints hints{};
  Pace pace = Pace::fast;
  std::size_t block_frames = 0;  // 0: by default_block_frames()
};

/// The power of two nearest to 10 ms of samples, 256 to 65536.
std::size_t default_block_frames(double rate_hz);

/// Opens both files; memory does not grow with their length. The clock must outlive the stream.
/// Fails with all mistakes, a line each: metadata that can't be read, data file missing, what
/// plan_recording() refuses, a sample type that does not fit the bytes (type_check.hpp).
///
/// Where the end is flawed (truncated, not a whole number of frames) the good samples come first,
/// then ReadState::failed with the reason.
Result<std::unique_ptr<SampleStream>> open_recording(const RecordingConfig& config,
                                                     const Clock& clock);

}  // namespace fixwright::agent::iq
