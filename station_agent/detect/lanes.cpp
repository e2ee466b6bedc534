#include "station_agent/detect/lanes.hpp"

#include <cstring>

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
namespace {

/// From anywhere, aligned or not.
inline void load(const float* from, Lane& to) { std::memcpy(&to.v, from, sizeof to.v); }

/// Hann's window on eight floats: four bins, real and imaginary parts in turn.
inline void hann(const float* x, float half, float quarter, Lane& out) {
  Lane here;
  Lane before;
  Lane after;
  load(x, here);
  load(x - 2, before);
  load(x + 2, after);
  out.v = half * here.v - quarter * (before.v + after.v);
}

}  // namespace

FIXWRIGHT_CLONES
void take_bins(const float* spectrum, std::size_t lanes, float scale, BinsOut out) {
  for (std::size_t l = 0; l < lanes; ++l) {
    Lane low;
    Lane high;
    hann(spectrum + 2 * kLane * l, 0.5F * scale, 0.25F * scale, low);
    hann(spectrum + 2 * kLane * l + kLane, 0.5F * scale, 0.25F * scale, high);
    out.re[l].v = __builtin_shufflevector(low.v, high.v, 0, 2, 4, 6, 8, 10, 12, 14);
    out.im[l].v = __builtin_shufflevector(low.v, high.v, 1, 3, 5, 7, 9, 11, 13, 15);
  }
}

FIXWRIGHT_CLONES
void add_power(Bins bins, std::size_t windows, std::size_t stride, std::size_t lanes, Lane* power) {
  for (std::size_t l = 0; l < lanes; ++l) {
    Lane sum = power[l];
    for (std::size_t at = l; at < windows * stride; at += stride) {
      sum.v += bins.re[at].v * bins.re[at].v + bins.im[at].v * bins.im[at].v;
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
    for (std::size_t at = l; at < windows * stride; at += stride) {
      re.v += a.re[at].v * b.re[at].v + a.im[at].v * b.im[at].v;
      im.v += a.im[at].v * b.re[at].v - a.re[at].v * b.im[at].v;
    }
    sum.re[l] = re;
    sum.im[l] = im;
  }
}

FIXWRIGHT_CLONES
void add_whole_power(const float* spectrum, std::size_t lanes, float scale, Lane* power) {
  for (std::size_t l = 0; l < lanes; ++l) {
    Lane low;
    Lane high;
    hann(spectrum + 2 * kLane * l, 0.5F, 0.25F, low);
    hann(spectrum + 2 * kLane * l + kLane, 0.5F, 0.25F, high);
    low.v *= low.v;
    high.v *= high.v;
    power[l].v += scale * (__builtin_shufflevector(low.v, high.v, 0, 2, 4, 6, 8, 10, 12, 14) +
                           __builtin_shufflevector(low.v, high.v, 1, 3, 5, 7, 9, 11, 13, 15));
  }
}

}  // namespace fixwright::agent::detect
