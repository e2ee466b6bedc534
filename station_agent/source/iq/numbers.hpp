#pragma once
/// From the bytes of any SigMF number type to floats.

#include <cstddef>
#include <cstdint>

#include "station_agent/source/iq/sample_type.hpp"

namespace fixwright::agent::iq {

class NumberReader {
 public:
  /// \param full_scale  the value that is 1 in our samples; 0: 2^(bits-1) of integers, 1 of
  ///                    floats.
  explicit NumberReader(const SampleType& type, double full_scale = 0.0);

  void read(const std::byte* bytes, std::size_t numbers, float* out) const;

  /// From this magnitude on a number stands at the end of the scale: (full scale - 1) / full
  /// scale of integers, so that a converter which never gives its lowest value is seen too; 1 of
  /// floats.
  [[nodiscard]] float clip_level() const { return clip_level_; }

 private:
  SampleType type_;
  float scale_;
  float clip_level_;
};

/// Whether any of the numbers reaches the level, or is infinite or NaN. \pre level > 0.
bool any_reaches(const float* numbers, std::size_t n, float level);

}  // namespace fixwright::agent::iq
