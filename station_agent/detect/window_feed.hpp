#pragma once
/// Cuts blocks of any length into windows that overlap by half.

#include <complex>
#include <cstddef>
#include <optional>

#include "station_agent/detect/fft.hpp"
#include "station_agent/detect/sample_block.hpp"

namespace fixwright::agent::detect {

/// Usage: begin(block); while (auto at = next()) window(e)...; end().
class WindowFeed {
 public:
  WindowFeed(std::size_t elements, std::size_t size);

  void begin(const SampleBlock& block);
  /// The next whole window: its first frame, counted from the block's first; negative where it
  /// began in the block before.
  std::optional<std::ptrdiff_t> next();
  /// Samples of element e in that window, aligned for `fft`: of the block itself, or a copy that
  /// lives until the next call.
  const std::complex<float>* window(std::size_t e, const Fft& fft);
  /// Keeps what the next windows need. The block may go.
  void end();
  /// Forgets what was kept: what comes next does not follow.
  void reset() { carried_ = 0; }
  [[nodiscard]] std::size_t carried() const { return carried_; }

 private:
  void copy(std::size_t e, std::ptrdiff_t from, std::size_t count, std::complex<float>* to) const;

  std::size_t size_;
  FftBuffer scratch_;
  FftBuffer carry_;  // element e at [e * size_]
  FftBuffer new_carry_;
  std::size_t elements_;
  std::size_t carried_ = 0;  // frames kept, each element
  const SampleBlock* block_ = nullptr;
  std::ptrdiff_t at_ = 0;  // the next window
};

}  // namespace fixwright::agent::detect
