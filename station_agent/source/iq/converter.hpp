#pragma once
/// From the bytes of a stream to blocks of samples. Fast enough to be lost beside the FFTs, and
/// nothing is allocated after the first block.

#include <complex>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "station_agent/detect/sample_block.hpp"
#include "station_agent/source/iq/numbers.hpp"
#include "station_agent/source/iq/sample_type.hpp"

namespace fixwright::agent::iq {

/// A float beyond this is no sample: neither is infinity nor NaN. It becomes 0 and counts as
/// clipped, so that no such number reaches the mathematics.
inline constexpr float kLargestSample = 1e6F;
inline constexpr std::size_t kMaxConverterElements = 32;

/// Interleaved complex samples: element 0's I and Q, element 1's I and Q, …, then the next frame.
class Converter {
 public:
  /// \param full_scale  as NumberReader takes it.
  /// \pre type.complex and 1 to 32 elements.
  Converter(const SampleType& type, std::size_t elements, double full_scale = 0.0);

  [[nodiscard]] std::size_t frame_bytes() const { return frame_bytes_; }

  /// Fills frames [first, first + bytes.size() / frame_bytes()) of the block and adds to its
  /// counts of clipped samples. A sample is clipped when its I or Q is an integer at the end of
  /// its range or a float of magnitude 1 or more (NumberReader::clip_level).
  /// \pre block has the size for it; bytes.size() is a whole number of frames.
  void convert(std::span<const std::byte> bytes, std::size_t first, SampleBlock& block);

  /// The same of one element's own bytes, as devices give them. \pre `out` has the size.
  /// \return how many are clipped.
  std::uint32_t convert_element(std::span<const std::byte> bytes, std::complex<float>* out) const;

 private:
  NumberReader reader_;
  std::size_t elements_;
  std::size_t frame_bytes_;
  std::size_t tile_frames_;
  std::vector<float> tile_;  // interleaved floats of a few frames: stays in the first cache
};

/// Bit e: all samples of element e are equal. 0 for a block of less than 16 frames.
std::uint32_t stuck_elements(const SampleBlock& block);

}  // namespace fixwright::agent::iq
