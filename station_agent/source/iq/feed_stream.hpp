#pragma once
/// Samples out of a stream of bytes that another program sends: interleaved, of a declared type,
/// without head or time.

#include <memory>

#include "server/base/clock.hpp"
#include "station_agent/source/iq/feed_input.hpp"
#include "station_agent/source/iq/sample_stream.hpp"
#include "station_agent/source/iq/sample_type.hpp"

namespace fixwright::agent::iq {

struct FeedConfig {
  FeedAddress address{};
  SampleType type{};
  double rate_hz = 0.0;          // frames a second as they come, > 0
  double centre_hz = 0.0;        // of the feed's samples
  std::size_t elements = 1;      // interleaved in each frame, 1 to kMaxElements
  std::size_t block_frames = 0;  // 0: by default_block_frames()
};

/// Times are by FrameClock. A lost sender is a gap and is waited for, a finished one (standard
/// input, a plain file) the end. The first block of each connection is held against the declared
/// type (type_check.hpp): blocks that do not fit are withheld, and count as lost. A note says when
/// the rate is not the declared one: a wrong rate, type or number of elements. The clock must
/// outlive the stream.
std::unique_ptr<SampleStream> open_feed(const FeedConfig& config, const Clock& clock);

}  // namespace fixwright::agent::iq
