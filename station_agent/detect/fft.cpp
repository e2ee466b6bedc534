#include "station_agent/detect/fft.hpp"

#include <algorithm>
#include <cassert>
#include <mutex>
#include <new>

namespace fixwright::agent::detect {
namespace {

/// FFTW's planner is one for the whole process and knows no threads.
std::mutex planner;

fftwf_complex* raw(std::complex<float>* p) { return reinterpret_cast<fftwf_complex*>(p); }

/// FFTW takes its input as not const, and with FFTW_PRESERVE_INPUT leaves it alone.
fftwf_complex* raw(const std::complex<float>* p) {
  return raw(const_cast<std::complex<float>*>(p));
}

int alignment(const std::complex<float>* p) {
  return fftwf_alignment_of(reinterpret_cast<float*>(raw(p)));
}

}  // namespace

FftBuffer fft_buffer(std::size_t size) {
  auto* memory =
      static_cast<std::complex<float>*>(fftwf_malloc(size * sizeof(std::complex<float>)));
  if (memory == nullptr) {
    throw std::bad_alloc();
  }
  std::fill_n(memory, size, std::complex<float>{});
  return FftBuffer{memory};
}

Fft::Fft(std::size_t size, std::size_t guard)
    : size_(size), guard_(guard), bins_(fft_buffer(2 * size + 1)), in_(fft_buffer(size)) {
  assert(size >= 64 && guard >= 1 && guard <= size);
  const std::lock_guard lock(planner);
  plan_ = fftwf_plan_dft_1d(static_cast<int>(size), raw(in_.get()), raw(bins_.get() + size),
                            FFTW_FORWARD, FFTW_ESTIMATE | FFTW_PRESERVE_INPUT);
  assert(plan_ != nullptr);
}

Fft::~Fft() {
  const std::lock_guard lock(planner);
  fftwf_destroy_plan(plan_);
}

bool Fft::is_aligned(const std::complex<float>* samples) const {
  return alignment(samples) == alignment(in_.get());
}

const std::complex<float>* Fft::transform(const std::complex<float>* samples) {
  std::complex<float>* bins = bins_.get() + size_;
  fftwf_execute_dft(plan_, raw(samples), raw(bins));
  std::copy_n(bins + size_ - guard_, guard_, bins - guard_);
  bins[size_] = bins[0];
  return bins;
}

}  // namespace fixwright::agent::detect
