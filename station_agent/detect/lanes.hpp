#pragma once
/// Loops over bins in portions of eight: vectors, by an extension of GCC and Clang for any machine.
/// All results are the same to the bit whichever instructions they become: nothing is summed across
/// a portion.

#include <cstddef>

namespace fixwright::agent::detect {

inline constexpr std::size_t kLane = 8;

struct alignas(kLane * sizeof(float)) Lane {
  float v __attribute__((vector_size(kLane * sizeof(float)))) = {};
};

/// Whole lanes that hold `bins`.
constexpr std::size_t lanes_for(std::size_t bins) { return (bins + kLane - 1) / kLane; }

/// Bins of a window as real and imaginary parts, `lanes` of each.
struct BinsOut {
  Lane* re;
  Lane* im;
};
struct Bins {
  const Lane* re;
  const Lane* im;
};

/// Hann's window, applied to the spectrum: 1/2 X[k] - 1/4 (X[k-1] + X[k+1]), times scale.
/// \param spectrum  at bin k of the first lane, real and imaginary parts in turn; one bin before
///                  and one after all lanes must be there.
void take_bins(const float* spectrum, std::size_t lanes, float scale, BinsOut out);

/// power += |bins|^2 over `windows` windows that lie `stride` lanes apart.
void add_power(Bins bins, std::size_t windows, std::size_t stride, std::size_t lanes, Lane* power);

/// sum += a conj(b), likewise.
void add_cross(Bins a, Bins b, std::size_t windows, std::size_t stride, std::size_t lanes,
               BinsOut sum);

/// power += scale |Hann-windowed spectrum|^2, likewise.
void add_whole_power(const float* spectrum, std::size_t lanes, float scale, Lane* power);

}  // namespace fixwright::agent::detect
