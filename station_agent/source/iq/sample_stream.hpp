#pragma once
/// Where coherent samples come from, whatever makes them: a recording, a feed, a device.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

#include "server/base/time.hpp"
#include "station_agent/array/geometry.hpp"
#include "station_agent/detect/sample_block.hpp"

namespace fixwright::agent::iq {

/// The most elements a stream may have: the bits of ReadOutcome::stuck.
inline constexpr std::size_t kMaxElements = 32;

/// The array as the stream itself tells of it.
struct StreamArray {
  array::ArrayGeometry geometry;   // as many elements as the stream has
  bool orientation_known = false;  // whether geometry.orientation_deg was told
};

struct StreamFormat {
  double rate_hz = 0.0;      // complex samples a second of each element, > 0
  double centre_hz = 0.0;    // radio frequency that stands at 0 Hz in the samples
  std::size_t elements = 0;  // 1 to kMaxElements
  std::optional<StreamArray> array{};
};

enum class ReadState {
  samples,  // the block is filled; its lost_frames_before tells of a gap
  waiting,  // nothing yet: ask again
  ended,    // nothing will follow, and nothing is wrong
  failed,   // nothing will follow; the note says why
};

struct ReadOutcome {
  ReadState state = ReadState::waiting;
  /// format() is another one since the read before; the block, if any, has the new one.
  bool format_changed = false;
  /// Bit e: element e gave one and the same value throughout the block: a stuck converter or a
  /// dead input.
  std::uint32_t stuck = 0;
  /// One line for a person, or empty. Said when something changes, not with every block.
  std::string note{};
};

class SampleStream {
 public:
  SampleStream() = default;
  SampleStream(const SampleStream&) = delete;
  SampleStream& operator=(const SampleStream&) = delete;
  virtual ~SampleStream() = default;

  /// What the next block will hold.
  [[nodiscard]] virtual const StreamFormat& format() const = 0;

  /// Waits at most `patience` for a block. Blocks have one length, except that one ends before a
  /// gap, a change of format and the end. Allocates nothing once the block has had that length,
  /// unless there is a note. Called from one thread.
  virtual ReadOutcome read(SampleBlock& block, Duration patience) = 0;

  /// Asks for another centre frequency. \return whether the stream can be tuned; a read that
  /// follows says format_changed.
  virtual bool tune(double centre_hz) {
    static_cast<void>(centre_hz);
    return false;
  }
};

}  // namespace fixwright::agent::iq
