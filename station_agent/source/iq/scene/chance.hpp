#pragma once
/// Chance for samples: a seeded stream of numbers, the same on every run.
/// The generator is splitmix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom
/// number generators", OOPSLA 2014); the normal is Box and Muller's (1958), since
/// std::normal_distribution differs between libraries.

#include <cmath>
#include <complex>
#include <cstdint>
#include <numbers>
#include <string_view>

namespace fixwright::agent::scene {

class Chance {
 public:
  /// Two streams with different words are independent.
  Chance(std::uint64_t seed, std::string_view station, std::string_view purpose,
         std::uint64_t number = 0) {
    state_ = seed * 0x9E3779B97F4A7C15ULL + number;
    for (const std::string_view word : {station, std::string_view{"|"}, purpose}) {
      for (const char c : word) {
        state_ = (state_ ^ static_cast<unsigned char>(c)) * 0x100000001B3ULL;
      }
      bits();
    }
  }

  std::uint64_t bits() {
    state_ += 0x9E3779B97F4A7C15ULL;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31U);
  }

  double uniform() { return static_cast<double>(bits() >> 11U) * 0x1.0p-53; }  // [0, 1)

  double normal() { return std::sqrt(2.0) * static_cast<double>(complex_normal().real()); }

  /// Mean 0, mean of |z|^2 1, phase uniform.
  std::complex<float> complex_normal() {
    const std::uint64_t b = bits();
    const float u = (static_cast<float>(b >> 40U) + 1.0F) * 0x1.0p-24F;  // (0, 1]
    const float turn = static_cast<float>((b >> 8U) & 0xFFFFFFU) * 0x1.0p-24F;
    const float radius = std::sqrt(-std::log(u));
    const float angle = 2.0F * std::numbers::pi_v<float> * turn;
    return {radius * std::cos(angle), radius * std::sin(angle)};
  }

 private:
  std::uint64_t state_ = 0;
};

}  // namespace fixwright::agent::scene
