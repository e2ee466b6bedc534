#include "station_agent/source/iq/sigmf_writer.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cassert>
#include <cmath>
#include <cstring>
#include <limits>
#include <type_traits>

namespace fixwright::agent::iq {

namespace {

std::filesystem::path with_suffix(std::filesystem::path stem, const char* suffix) {
  stem += suffix;
  return stem;
}

/// The integer for x, 1 being 2^(bits-1), and unsigned ones moved up by as much.
template <typename T>
T number_of(double x) {
  if constexpr (std::is_floating_point_v<T>) {
    return static_cast<T>(x);
  } else {
    const double one = std::ldexp(1.0, static_cast<int>(8 * sizeof(T)) - 1);
    const double middle = std::is_unsigned_v<T> ? one : 0.0;
    const double nearest = std::nearbyint(x * one);
    return static_cast<T>(std::clamp(nearest, -one, one - 1.0) + middle);
  }
}

template <typename T>
void put(double x, bool swap, std::byte* out) {
  const T value = number_of<T>(x);
  std::array<std::byte, sizeof(T)> bytes;  // NOLINT(cppcoreguidelines-pro-type-member-init)
  std::memcpy(bytes.data(), &value, sizeof(T));
  if (swap) std::reverse(bytes.begin(), bytes.end());
  std::memcpy(out, bytes.data(), sizeof(T));
}

using Put = void (*)(double, bool, std::byte*);

Put put_of(NumberKind kind) {
  switch (kind) {
    case NumberKind::f32:
      return put<float>;
    case NumberKind::f64:
      return put<double>;
    case NumberKind::i32:
      return put<std::int32_t>;
    case NumberKind::i16:
      return put<std::int16_t>;
    case NumberKind::u32:
      return put<std::uint32_t>;
    case NumberKind::u16:
      return put<std::uint16_t>;
    case NumberKind::i8:
      return put<std::int8_t>;
    case NumberKind::u8:
      break;
  }
  return put<std::uint8_t>;
}

/// Nothing, or the rule that the format breaks.
std::string problem_of(const SigmfWriterConfig& config) {
  const StreamFormat& f = config.format;
  if (!config.type.complex) return "the sample type must be complex";
  if (!(f.rate_hz >= 1.0 && f.rate_hz <= 1e12)) return "the rate must be 1 to 1e12 Hz";
  if (!(std::abs(f.centre_hz) <= 1e12)) return "the centre must be within 1e12 Hz";
  if (f.elements < 1 || f.elements > kMaxElements) return "there must be 1 to 32 elements";
  return {};
}

}  // namespace

Result<std::unique_ptr<SigmfWriter>> SigmfWriter::open(const SigmfWriterConfig& config) {
  if (const auto problem = problem_of(config); !problem.empty()) {
    return Error{fmt::format("{}: {}", config.stem.string(), problem)};
  }
  std::unique_ptr<SigmfWriter> writer(new SigmfWriter(config));
  if (!writer->data_) {
    return Error{fmt::format("{}.sigmf-data: can't be written", config.stem.string())};
  }
  return writer;
}

SigmfWriter::SigmfWriter(const SigmfWriterConfig& config)
    : stem_(config.stem),
      format_(config.format),
      data_(with_suffix(config.stem, ".sigmf-data"), std::ios::binary | std::ios::trunc) {
  metadata_.type = config.type;
  metadata_.rate_hz = config.format.rate_hz;
  metadata_.elements = config.format.elements;
  metadata_.description = config.description;
}

void SigmfWriter::set_format(const StreamFormat& format) {
  assert(format.rate_hz == format_.rate_hz && format.elements == format_.elements);
  format_ = format;
  capture_due_ = true;
}

void SigmfWriter::annotate(SigmfAnnotation annotation) {
  metadata_.annotations.push_back(std::move(annotation));
}

void SigmfWriter::begin_capture(const SampleBlock& block) {
  lost_ += block.lost_frames_before;
  SigmfCapture capture{.sample_start = frames_,
                       .frequency_hz = format_.centre_hz,
                       .datetime = block.start,
                       .array = format_.array};
  if (lost_ > 0) capture.global_index = frames_ + lost_;
  metadata_.captures.push_back(std::move(capture));
  capture_due_ = false;
}

Result<bool> SigmfWriter::write(const SampleBlock& block) {
  assert(block.elements == format_.elements);
  if (block.frames == 0) return true;
  if (capture_due_ || block.lost_frames_before > 0) begin_capture(block);
  encode(block);
  data_.write(reinterpret_cast<const char*>(bytes_.data()),
              static_cast<std::streamsize>(bytes_.size()));
  frames_ += block.frames;
  if (data_) return true;
  return Error{fmt::format("{}.sigmf-data: can't be written: is the disk full?", stem_.string())};
}

void SigmfWriter::encode(const SampleBlock& block) {
  const std::size_t step = number_bytes(metadata_.type.number);
  const Put put_number = put_of(metadata_.type.number);
  const bool swap = metadata_.type.big_endian != (std::endian::native == std::endian::big);
  bytes_.resize(2 * step * block.frames * block.elements);
  std::byte* out = bytes_.data();
  for (std::size_t f = 0; f < block.frames; ++f) {
    for (std::size_t e = 0; e < block.elements; ++e) {
      const auto sample = block.samples[e * block.frames + f];
      put_number(sample.real(), swap && step > 1, out);
      put_number(sample.imag(), swap && step > 1, out + step);
      out += 2 * step;
    }
  }
}

Result<bool> SigmfWriter::finish() {
  data_.close();
  std::stable_sort(metadata_.annotations.begin(), metadata_.annotations.end(),
                   [](const auto& a, const auto& b) { return a.sample_start < b.sample_start; });
  if (metadata_.captures.empty()) metadata_.captures.push_back({.sample_start = 0});
  std::ofstream meta(with_suffix(stem_, ".sigmf-meta"), std::ios::binary | std::ios::trunc);
  meta << to_json(metadata_);
  meta.close();
  if (data_ && meta) return true;
  return Error{fmt::format("{}.sigmf-meta: can't be written: is the disk full?", stem_.string())};
}

}  // namespace fixwright::agent::iq
