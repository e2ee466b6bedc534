#include "station_agent/detect/lanes.hpp"

// One build runs on every x86-64 and still uses what the machine has. Sanitizers are not ready
// when the choice is made, at program start.
#ifdef __SANITIZE_ADDRESS__
#define FIXWRIGHT_CLONES
#elif defined __SANITIZE_THREAD__ || defined __clang__ || !defined __x86_64__
#define FIXWRIGHT_CLONES
#else
#define FIXWRIGHT_CLONES __attribute__((target_clones("avx2", "default")))
#endif

namespace fixwright::agent::detect {

FIXWRIGHT_CLONES
void take_bins(const float* spectrum, std::size_t lanes, float scale, BinsOut out) {
  const float half = 0.5F * scale;
  const float quarter = 0.25F * scale;
  for (std::size_t l = 0; l < lanes; ++l) {
    const float* x = spectrum + 2 * kLane * l;
    std::array<float, 2 * kLane> y;
    for (std::size_t i = 0; i < 2 * kLane; ++i) {
      y[i] = half * x[i] - quarter * (x[static_cast<std::ptrdiff_t>(i) - 2] + x[i + 2]);
    }
    Lane re;
    Lane im;
    for (std::size_t i = 0; i < kLane; ++i) {
      re.v[i] = y[2 * i];
      im.v[i] = y[2 * i + 1];
    }
    out.re[l] = re;
    out.im[l] = im;
  }
}

FIXWRIGHT_CLONES
void add_power(Bins bins, std::size_t windows, std::size_t stride, std::size_t lanes,
               Lane* __restrict power) {
  for (std::size_t l = 0; l < lanes; ++l) {
    Lane sum = power[l];
    for (std::size_t w = 0; w < windows; ++w) {
      const Lane& re = bins.re[w * stride + l];
      const Lane& im = bins.im[w * stride + l];
      for (std::size_t i = 0; i < kLane; ++i) {
        sum.v[i] += re.v[i] * re.v[i] + im.v[i] * im.v[i];
      }
    }
    power[l] = sum;
  }
}

FIXWRIGHT_CLONES
void add_cross(Bins a, Bins b, std::size_t windows, std::size_t stride, std::size_t lanes,
               BinsOut sum) {
  for (std::size_t l = 0; l < lanes; ++l) {
    Lane re = sum.re[l];
    Lane im = sum.im[l];
    for (std::size_t w = 0; w < windows; ++w) {
      const std::size_t at = w * stride + l;
      const Lane& ar = a.re[at];
      const Lane& ai = a.im[at];
      const Lane& br = b.re[at];
      const Lane& bi = b.im[at];
      for (std::size_t i = 0; i < kLane; ++i) {
        re.v[i] += ar.v[i] * br.v[i] + ai.v[i] * bi.v[i];
        im.v[i] += ai.v[i] * br.v[i] - ar.v[i] * bi.v[i];
      }
    }
    sum.re[l] = re;
    sum.im[l] = im;
  }
}

FIXWRIGHT_CLONES
void add_whole_power(const float* spectrum, std::size_t bins, float scale,
                     float* __restrict power) {
  for (std::size_t k = 0; k < bins; ++k) {
    const float* x = spectrum + 2 * k;
    const float re = 0.5F * x[0] - 0.25F * (x[-2] + x[2]);
    const float im = 0.5F * x[1] - 0.25F * (x[-1] + x[3]);
    power[k] += scale * (re * re + im * im);
  }
}

}  // namespace fixwright::agent::detect
