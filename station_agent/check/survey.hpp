#pragma once
/// Some seconds of samples, seen through the detector.

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "station_agent/detect/detector.hpp"
#include "station_agent/source/iq/sample_stream.hpp"

namespace fixwright::agent::check {

/// The best look at one channel.
struct HeardChannel {
  detect::ChannelLook look;
  std::size_t looks = 0;
};

struct Survey {
  iq::StreamFormat format;
  std::vector<detect::WatchedChannel> channels;
  std::uint64_t frames = 0;  // of each element
  std::uint64_t lost_frames = 0;
  TimePoint first{};                   // time of the first frame
  std::vector<double> noise_dbfs;      // of each element, in the whole band; empty: not measured
  std::vector<std::uint64_t> clipped;  // samples of each element at the end of the scale
  std::vector<detect::Notice> notices;
  std::vector<std::string> notes;   // what the stream said
  std::vector<HeardChannel> heard;  // as channels; looks 0: nothing was heard on it
  std::string failure;              // why there are no more samples; empty: all is well

  [[nodiscard]] double lasted_s() const {
    return format.rate_hz > 0.0 ? static_cast<double>(frames) / format.rate_hz : 0.0;
  }
};

/// Reads so many seconds of samples, or until the stream ends; gives up when it is silent for
/// three seconds. Another format on the way ends it: what follows would be another receiver.
/// \param config  as for a Detector; its channels may be none.
/// \param each    is shown every look, in order.
using LookTaker = std::function<void(const detect::ChannelLook&)>;
Survey survey(iq::SampleStream& stream, const detect::DetectorConfig& config, Duration lasts,
              const LookTaker& each = {});

/// Asks the stream for another centre and waits up to three seconds for samples of it; a stream
/// that can't be tuned stays as it is.
void tune_to(iq::SampleStream& stream, double centre_hz);

}  // namespace fixwright::agent::check
