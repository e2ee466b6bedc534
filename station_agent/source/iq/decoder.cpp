#include "station_agent/source/iq/decoder.hpp"

#include <cmath>

namespace fixwright::agent::iq {

namespace {

/// \return how many numbers are clipped; what is no number becomes 0.
std::uint32_t settle_real(std::vector<float>& numbers, float level) {
  if (!any_reaches(numbers.data(), numbers.size(), level)) return 0;
  std::uint32_t clipped = 0;
  for (float& x : numbers) {
    if (std::abs(x) < level) continue;
    ++clipped;
    if (!(std::abs(x) <= kLargestSample)) x = 0.0F;
  }
  return clipped;
}

}  // namespace

Decoder::Decoder(const SampleType& type, std::size_t elements)
    : numbers_(type), elements_(elements), frame_bytes_(elements * sample_bytes(type)) {
  if (type.complex) {
    complex_.emplace_back(type, elements);
  } else {
    real_.resize(elements);
  }
}

std::size_t Decoder::delay_frames() const {
  return real_.empty() ? 0 : AnalyticFilter::delay_frames();
}

void Decoder::reset() {
  for (AnalyticFilter& filter : real_) filter.reset();
}

void Decoder::decode(std::span<const std::byte> bytes, SampleBlock& block) {
  const std::size_t frames = bytes.size() / frame_bytes_ / decimation();
  block.resize(elements_, frames);
  if (frames == 0) return;
  if (!complex_.empty()) return complex_.front().convert(bytes, 0, block);
  decode_real(bytes, frames, block);
}

void Decoder::decode_real(std::span<const std::byte> bytes, std::size_t frames,
                          SampleBlock& block) {
  interleaved_.resize(2 * frames * elements_);
  one_element_.resize(2 * frames);
  numbers_.read(bytes.data(), interleaved_.size(), interleaved_.data());
  for (std::size_t e = 0; e < elements_; ++e) {
    for (std::size_t f = 0; f < 2 * frames; ++f) {
      one_element_[f] = interleaved_[f * elements_ + e];
    }
    block.clipped[e] = settle_real(one_element_, numbers_.clip_level());
    real_[e].run(one_element_, block.samples.data() + e * frames);
  }
}

}  // namespace fixwright::agent::iq
