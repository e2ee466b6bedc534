#pragma once
/// FFTW's transform, single precision, one window after the other.

#include <fftw3.h>

#include <complex>
#include <cstddef>
#include <memory>

namespace fixwright::agent::detect {

struct FftwFree {
  void operator()(void* p) const { fftwf_free(p); }
};
/// Memory that FFTW's vector instructions like.
using FftBuffer = std::unique_ptr<std::complex<float>[], FftwFree>;
FftBuffer fft_buffer(std::size_t size);

/// Forward transform of one size, with room for neighbours on both sides of the spectrum.
class Fft {
 public:
  /// \param size   a power of two, at least 64.
  /// \param guard  how many of the highest bins are also wanted before bin 0, 1 to size.
  /// The plan is FFTW's estimate: it takes no time, and the same machine always gives the same
  /// bits, which plans chosen by stopwatch would not.
  Fft(std::size_t size, std::size_t guard);
  ~Fft();
  Fft(const Fft&) = delete;
  Fft& operator=(const Fft&) = delete;

  /// Whether transform() may read from here without a copy.
  [[nodiscard]] bool is_aligned(const std::complex<float>* samples) const;
  /// Transforms `size` samples, which must be aligned and stay as they are.
  /// \return bin 0; bins -guard to size are there (size is bin 0 again). Valid until the next call.
  const std::complex<float>* transform(const std::complex<float>* samples);

 private:
  std::size_t size_;
  std::size_t guard_;
  FftBuffer bins_;  // [size_ before bin 0][size_][1]
  FftBuffer in_;    // for planning; its alignment is the plan's
  fftwf_plan plan_;
};

}  // namespace fixwright::agent::detect
