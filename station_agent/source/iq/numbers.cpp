#include "station_agent/source/iq/numbers.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstring>
#include <type_traits>

namespace fixwright::agent::iq {

namespace {

constexpr std::uint32_t kMagnitudeBits = 0x7fff'ffffU;

template <typename T>
T swapped(T value) {
  std::array<std::byte, sizeof(T)> bytes;  // NOLINT(cppcoreguidelines-pro-type-member-init)
  std::memcpy(bytes.data(), &value, sizeof(T));
  std::reverse(bytes.begin(), bytes.end());
  std::memcpy(&value, bytes.data(), sizeof(T));
  return value;
}

/// One pass that the compiler turns into vector instructions.
template <typename T, bool kSwap>
void numbers_to_floats(const std::byte* bytes, std::size_t n, float scale, float* out) {
  constexpr float kOffset =
      std::is_unsigned_v<T> ? -static_cast<float>(std::uint64_t{1} << (8 * sizeof(T) - 1)) : 0.0F;
  for (std::size_t i = 0; i < n; ++i) {
    T value;
    std::memcpy(&value, bytes + i * sizeof(T), sizeof(T));
    if constexpr (kSwap) value = swapped(value);
    out[i] = (static_cast<float>(value) + kOffset) * scale;
  }
}

/// 32-bit unsigned integers have more digits than a float: the middle is taken off before.
template <bool kSwap>
void wide_unsigned_to_floats(const std::byte* bytes, std::size_t n, float scale, float* out) {
  for (std::size_t i = 0; i < n; ++i) {
    std::uint32_t value = 0;
    std::memcpy(&value, bytes + i * sizeof value, sizeof value);
    if constexpr (kSwap) value = swapped(value);
    out[i] = static_cast<float>(static_cast<std::int32_t>(value ^ 0x8000'0000U)) * scale;
  }
}

template <bool kSwap>
void spread(NumberKind kind, const std::byte* bytes, std::size_t n, float scale, float* out) {
  switch (kind) {
    case NumberKind::f32:
      return numbers_to_floats<float, kSwap>(bytes, n, scale, out);
    case NumberKind::f64:
      return numbers_to_floats<double, kSwap>(bytes, n, scale, out);
    case NumberKind::i32:
      return numbers_to_floats<std::int32_t, kSwap>(bytes, n, scale, out);
    case NumberKind::i16:
      return numbers_to_floats<std::int16_t, kSwap>(bytes, n, scale, out);
    case NumberKind::u32:
      return wide_unsigned_to_floats<kSwap>(bytes, n, scale, out);
    case NumberKind::u16:
      return numbers_to_floats<std::uint16_t, kSwap>(bytes, n, scale, out);
    case NumberKind::i8:
      return numbers_to_floats<std::int8_t, false>(bytes, n, scale, out);
    case NumberKind::u8:
      return numbers_to_floats<std::uint8_t, false>(bytes, n, scale, out);
  }
}

bool is_float(NumberKind kind) { return kind == NumberKind::f32 || kind == NumberKind::f64; }

double natural_full_scale(NumberKind kind) {
  return is_float(kind) ? 1.0 : std::ldexp(1.0, static_cast<int>(8 * number_bytes(kind)) - 1);
}

/// The largest magnitude, as bits: those of floats without sign are ordered as the floats are,
/// infinity and NaN above all, and integers are compared many at once.
std::uint32_t largest_bits(const float* numbers, std::size_t n) {
  std::int32_t largest = 0;
  for (std::size_t i = 0; i < n; ++i) {
    std::int32_t bits = 0;
    std::memcpy(&bits, numbers + i, sizeof bits);
    bits &= static_cast<std::int32_t>(kMagnitudeBits);
    largest = bits > largest ? bits : largest;
  }
  return static_cast<std::uint32_t>(largest);
}

}  // namespace

NumberReader::NumberReader(const SampleType& type, double full_scale) : type_(type) {
  const double one = full_scale > 0.0 ? full_scale : natural_full_scale(type.number);
  scale_ = static_cast<float>(1.0 / one);
  clip_level_ = is_float(type.number) ? 1.0F : static_cast<float>((one - 1.0) / one);
}

void NumberReader::read(const std::byte* bytes, std::size_t numbers, float* out) const {
  if (type_.big_endian == (std::endian::native == std::endian::big)) {
    spread<false>(type_.number, bytes, numbers, scale_, out);
  } else {
    spread<true>(type_.number, bytes, numbers, scale_, out);
  }
}

bool any_reaches(const float* numbers, std::size_t n, float level) {
  return largest_bits(numbers, n) >= std::bit_cast<std::uint32_t>(level);
}

}  // namespace fixwright::agent::iq
