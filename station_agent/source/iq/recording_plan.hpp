#pragma once
/// How a recording is to be read: its stretches, their places in the file, times and gaps. Pure.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "server/base/result.hpp"
#include "station_agent/source/iq/sigmf_metadata.hpp"

namespace fixwright::agent::iq {

/// What the configuration adds to a recording that does not tell it.
struct RecordingHints {
  std::optional<TimePoint> start;  // of a first capture without core:datetime
  double centre_hz = 0.0;          // where there is no core:frequency; 0: none
  std::size_t elements = 0;        // that the array has; 0: as many as the recording
};

struct RecordingStretch {
  std::uint64_t file_offset = 0;  // of its first byte
  std::uint64_t frames = 0;
  TimePoint start;
  double centre_hz = 0.0;
  std::uint64_t lost_before = 0;
  std::optional<StreamArray> array{};
};

struct RecordingPlan {
  std::vector<RecordingStretch> stretches;  // none of them empty
  /// What is wrong with the end: the samples before it are good. Empty: nothing.
  std::string flaw{};
};

/// \param file_bytes  length of the data file.
/// Fails with one line when nothing can be read: no samples, no time, no frequency, other elements
/// than the array has, times that go back.
///
/// A capture whose datetime lies more than 1 ms off the time counted from the capture before takes
/// its own; later by so much means lost frames, also where no core:global_index says so.
Result<RecordingPlan> plan_recording(const SigmfMetadata& metadata, std::uint64_t file_bytes,
                                     const RecordingHints& hints, const std::string& name);

}  // namespace fixwright::agent::iq
