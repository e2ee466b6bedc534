#pragma once
/// Coherent samples on their way from a stream to the detector.

#include <complex>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "server/base/time.hpp"

namespace fixwright::agent {

/// One stretch of samples of all elements, taken at the same moments. The reader reuses the block:
/// once it has had its full size, filling it again allocates nothing.
struct SampleBlock {
  TimePoint start;           // of the first frame, UTC by the station's clock
  std::size_t elements = 0;  // 1 to 32
  std::size_t frames = 0;    // samples of each element
  /// Element e, frame f at [e * frames + f]. A carrier of amplitude 1 is 0 dBFS; each part is
  /// within -1 and 1 at full scale.
  std::vector<std::complex<float>> samples;
  /// Of each element: how many of its samples stand at the end of the converter's scale.
  std::vector<std::uint32_t> clipped;
  /// Frames that are missing between the block before and this one; 0: none. Where the number is
  /// not known, 1 says that some are.
  std::uint64_t lost_frames_before = 0;

  void resize(std::size_t new_elements, std::size_t new_frames) {
    elements = new_elements;
    frames = new_frames;
    samples.resize(elements * frames);
    clipped.assign(elements, 0);
  }
  [[nodiscard]] std::span<std::complex<float>> element(std::size_t e) {
    return {samples.data() + e * frames, frames};
  }
  [[nodiscard]] std::span<const std::complex<float>> element(std::size_t e) const {
    return {samples.data() + e * frames, frames};
  }
};

}  // namespace fixwright::agent
