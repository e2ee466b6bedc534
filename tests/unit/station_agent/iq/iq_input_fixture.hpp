#pragma once
/// What the tests of the sample inputs share.

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>

#include "server/base/clock.hpp"
#include "station_agent/detect/sample_block.hpp"

namespace fixwright::agent::iq {

/// Gaussian noise 12 dB below full scale, within it.
inline SampleBlock noise_block(std::size_t elements, std::size_t frames, std::uint32_t seed) {
  SampleBlock block;
  block.resize(elements, frames);
  std::mt19937 random(seed);
  std::normal_distribution<float> normal(0.0F, 0.18F);
  const auto draw = [&] { return std::clamp(normal(random), -0.98F, 0.98F); };
  for (auto& s : block.samples) s = {draw(), draw()};
  return block;
}

inline std::string contents(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

inline void put_contents(const std::filesystem::path& path, const std::string& text) {
  std::ofstream(path, std::ios::binary | std::ios::trunc) << text;
}

}  // namespace fixwright::agent::iq
