#pragma once
/// The sample types of SigMF 1.2 and how their numbers become ours.
///
///     dataset-format = ("r" / "c") ((type ("_le" / "_be")) / byte)
///     type = "f32" / "f64" / "i32" / "i16" / "u32" / "u16"      byte = "i8" / "u8"
///
/// Integers: value / 2^(bits-1) after 2^(bits-1) has been taken from unsigned ones, as the
/// standard's reference reader does it; so full scale is -1 to 1. Floats are taken as they are.

#include <cstddef>
#include <string>
#include <string_view>

#include "server/base/result.hpp"

namespace fixwright::agent::iq {

enum class NumberKind { f32, f64, i32, i16, u32, u16, i8, u8 };

struct SampleType {
  NumberKind number = NumberKind::f32;
  bool complex = true;  // I then Q; else real numbers
  bool big_endian = false;

  friend bool operator==(const SampleType&, const SampleType&) = default;
};

/// Fails with the rule for a person: "must be …". An 8-bit type may carry a byte order, which
/// means nothing there (the standard's schema lets it); a wider one must.
Result<SampleType> parse_sample_type(std::string_view text);

/// As the standard writes it: "ci16_le", "cu8".
std::string to_string(const SampleType& type);

/// Bytes of one number: 1, 2, 4 or 8.
std::size_t number_bytes(NumberKind kind);
/// Bytes of one sample of one element.
std::size_t sample_bytes(const SampleType& type);

}  // namespace fixwright::agent::iq
