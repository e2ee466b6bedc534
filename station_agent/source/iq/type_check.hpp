#pragma once
/// Whether bytes look like samples of the type that was declared. A wrong type is not seen by any
/// rule of the format: the numbers are merely nonsense.

#include <cstddef>
#include <span>
#include <string>

#include "station_agent/source/iq/sample_type.hpp"

namespace fixwright::agent::iq {

/// Bytes that are looked at, at most; with fewer than 256 numbers nothing is said.
inline constexpr std::size_t kTypeCheckBytes = 65'536;

/// Nothing, or what does not fit, for one line:
/// - floats of which more than 1 % are infinite, NaN, beyond 1e6 or below 1e-30 without being 0:
///   integers, or the other byte order, read as floats;
/// - 16 and 32-bit integers whose lowest byte is nearly always 0x00 or 0xff, and both of them
/// often:
///   small numbers of the other byte order;
/// - 8-bit integers of which nearly all lie in the outer eighths of the range, on both sides:
/// signed
///   read as unsigned or the other way round (or a receiver that is wholly overloaded).
/// Noise, a carrier of any level, silence and 8-bit samples widened to 16 bits pass.
std::string type_problem(std::span<const std::byte> bytes, const SampleType& type);

}  // namespace fixwright::agent::iq
