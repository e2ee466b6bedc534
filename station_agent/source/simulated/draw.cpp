#include "station_agent/source/simulated/draw.hpp"

#include <cmath>
#include <numbers>

namespace fixwright::agent {

namespace {

std::uint64_t mix(std::uint64_t z) {
  z += 0x9E3779B97F4A7C15ULL;
  z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
  z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
  return z ^ (z >> 31U);
}

/// The upper 53 bits as a number in [0, 1).
double unit(std::uint64_t bits) { return static_cast<double>(bits >> 11U) * 0x1.0p-53; }

}  // namespace

std::uint64_t hash_name(std::string_view name) {
  std::uint64_t h = 0xCBF29CE484222325ULL;
  for (const char c : name) {
    h = (h ^ static_cast<unsigned char>(c)) * 0x100000001B3ULL;
  }
  return h;
}

std::uint64_t Draw::bits(Purpose purpose, std::uint64_t part) const {
  std::uint64_t h = mix(seed);
  h = mix(h ^ station);
  h = mix(h ^ emitter);
  h = mix(h ^ static_cast<std::uint64_t>(tick));
  return mix(h ^ (static_cast<std::uint64_t>(purpose) * 2U + part));
}

double Draw::uniform(Purpose purpose) const { return unit(bits(purpose, 0)); }

double Draw::normal(Purpose purpose) const {
  const double u = 1.0 - unit(bits(purpose, 0));  // (0, 1]: its logarithm is finite
  const double v = unit(bits(purpose, 1));
  return std::sqrt(-2.0 * std::log(u)) * std::cos(2.0 * std::numbers::pi * v);
}

}  // namespace fixwright::agent
