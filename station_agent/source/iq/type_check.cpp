#include "station_agent/source/iq/type_check.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "station_agent/source/iq/converter.hpp"
#include "station_agent/source/iq/numbers.hpp"

namespace fixwright::agent::iq {

namespace {

constexpr std::size_t kFewest = 256;
constexpr float kSmallest = 1e-30F;  // no receiver's noise lies 600 dB below full scale

bool is_odd_float(float x) {
  const float size = std::abs(x);
  return !(size <= kLargestSample) || (size > 0.0F && size < kSmallest);
}

std::string float_problem(std::span<const float> numbers) {
  const auto odd = std::count_if(numbers.begin(), numbers.end(), is_odd_float);
  if (static_cast<std::size_t>(odd) * 100 <= numbers.size()) return {};
  return "many are no numbers of a receiver: integers, or the other byte order?";
}

std::string wide_problem(std::span<const std::byte> bytes, std::size_t step, bool big_endian) {
  std::size_t low = 0;
  std::size_t high = 0;
  for (std::size_t i = big_endian ? step - 1 : 0; i < bytes.size(); i += step) {
    low += bytes[i] == std::byte{0x00} ? 1 : 0;
    high += bytes[i] == std::byte{0xff} ? 1 : 0;
  }
  const std::size_t n = bytes.size() / step;
  const bool small_swapped = (low + high) * 10 > n * 9 && low * 10 > n && high * 10 > n;
  return small_swapped ? "they look like small numbers of the other byte order" : "";
}

std::string byte_problem(std::span<const float> numbers) {
  std::size_t above = 0;
  std::size_t below = 0;
  for (const float x : numbers) {
    above += x > 0.75F ? 1 : 0;
    below += x < -0.75F ? 1 : 0;
  }
  const std::size_t n = numbers.size();
  const bool outer = (above + below) * 20 > n * 19 && above * 10 > n && below * 10 > n;
  return outer ? "all stand near the ends of the scale: signed or unsigned, the other way round? "
                 "Or is the receiver overloaded?"
               : "";
}

}  // namespace

std::string type_problem(std::span<const std::byte> bytes, const SampleType& type) {
  const std::size_t step = number_bytes(type.number);
  const std::size_t n = std::min(bytes.size(), kTypeCheckBytes) / step;
  if (n < kFewest) return {};
  bytes = bytes.first(n * step);
  if (step > 1 && type.number != NumberKind::f32 && type.number != NumberKind::f64) {
    return wide_problem(bytes, step, type.big_endian);
  }
  std::vector<float> numbers(n);
  NumberReader(type).read(bytes.data(), n, numbers.data());
  return step == 1 ? byte_problem(numbers) : float_problem(numbers);
}

}  // namespace fixwright::agent::iq
