#include "station_agent/source/iq/converter.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstring>

namespace fixwright::agent::iq {

namespace {

constexpr std::size_t kTileNumbers = 2048;  // 8 KiB of floats
constexpr std::size_t kMinStuckFrames = 16;

/// Not for each tile: only where something stands at the end of the scale.
std::uint32_t count_clipped(std::complex<float>* samples, std::size_t n, float level) {
  std::uint32_t clipped = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const float re = std::abs(samples[i].real());
    const float im = std::abs(samples[i].imag());
    if (re < level && im < level) continue;
    ++clipped;
    if (!(re <= kLargestSample && im <= kLargestSample)) samples[i] = {};
  }
  return clipped;
}

/// Element after element out of interleaved frames; moves I and Q as one.
void deinterleave(const float* tile, std::size_t elements, std::size_t frames,
                  std::complex<float>* out, std::size_t stride) {
  for (std::size_t e = 0; e < elements; ++e) {
    for (std::size_t f = 0; f < frames; ++f) {
      std::memcpy(static_cast<void*>(out + e * stride + f), tile + 2 * (f * elements + e),
                  sizeof *out);
    }
  }
}

}  // namespace

Converter::Converter(const SampleType& type, std::size_t elements, double full_scale)
    : reader_(type, full_scale),
      elements_(elements),
      frame_bytes_(elements * sample_bytes(type)),
      tile_frames_(kTileNumbers / (2 * elements)),
      tile_(2 * elements * tile_frames_) {
  assert(type.complex && elements >= 1 && elements <= kMaxConverterElements);
}

void Converter::convert(std::span<const std::byte> bytes, std::size_t first, SampleBlock& block) {
  const std::size_t frames = bytes.size() / frame_bytes_;
  assert(bytes.size() == frames * frame_bytes_ && first + frames <= block.frames);
  for (std::size_t done = 0; done < frames;) {
    const std::size_t n = std::min(tile_frames_, frames - done);
    std::complex<float>* out = block.samples.data() + first + done;
    reader_.read(bytes.data() + done * frame_bytes_, 2 * n * elements_, tile_.data());
    deinterleave(tile_.data(), elements_, n, out, block.frames);
    if (any_reaches(tile_.data(), 2 * n * elements_, reader_.clip_level())) {
      for (std::size_t e = 0; e < elements_; ++e) {
        block.clipped[e] += count_clipped(out + e * block.frames, n, reader_.clip_level());
      }
    }
    done += n;
  }
}

std::uint32_t Converter::convert_element(std::span<const std::byte> bytes,
                                         std::complex<float>* out) const {
  const std::size_t n = bytes.size() * elements_ / frame_bytes_;
  auto* numbers = reinterpret_cast<float*>(out);
  reader_.read(bytes.data(), 2 * n, numbers);
  if (!any_reaches(numbers, 2 * n, reader_.clip_level())) return 0;
  return count_clipped(out, n, reader_.clip_level());
}

std::uint32_t stuck_elements(const SampleBlock& block) {
  if (block.frames < kMinStuckFrames) return 0;
  std::uint32_t stuck = 0;
  for (std::size_t e = 0; e < block.elements; ++e) {
    const auto samples = block.element(e);
    const bool moves = std::any_of(samples.begin() + 1, samples.end(),
                                   [&](const auto& s) { return s != samples.front(); });
    if (!moves) stuck |= std::uint32_t{1} << e;
  }
  return stuck;
}

}  // namespace fixwright::agent::iq
