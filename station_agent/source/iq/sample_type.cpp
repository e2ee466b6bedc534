#include "station_agent/source/iq/sample_type.hpp"

#include <array>

namespace fixwright::agent::iq {

namespace {

struct NumberName {
  NumberKind kind;
  std::string_view name;
  std::size_t bytes;
};

constexpr std::array<NumberName, 8> kNumbers{{{NumberKind::f32, "f32", 4},
                                              {NumberKind::f64, "f64", 8},
                                              {NumberKind::i32, "i32", 4},
                                              {NumberKind::i16, "i16", 2},
                                              {NumberKind::u32, "u32", 4},
                                              {NumberKind::u16, "u16", 2},
                                              {NumberKind::i8, "i8", 1},
                                              {NumberKind::u8, "u8", 1}}};

constexpr const char* kRule =
    "must be c or r, then f32, f64, i32, i16, u32 or u16 with _le or _be, or i8 or u8, such as "
    "ci16_le or cu8";

const NumberName& entry_of(NumberKind kind) {
  for (const NumberName& n : kNumbers) {
    if (n.kind == kind) return n;
  }
  return kNumbers.front();
}

/// Cuts the byte order off the end of `text`. \return whether there was one.
bool take_byte_order(std::string_view& text, bool& big_endian) {
  big_endian = text.ends_with("_be");
  if (!big_endian && !text.ends_with("_le")) return false;
  text.remove_suffix(3);
  return true;
}

}  // namespace

Result<SampleType> parse_sample_type(std::string_view text) {
  if (text.empty() || (text.front() != 'c' && text.front() != 'r')) return Error{kRule};
  SampleType type;
  type.complex = text.front() == 'c';
  text.remove_prefix(1);
  const bool ordered = take_byte_order(text, type.big_endian);
  for (const NumberName& n : kNumbers) {
    if (n.name != text) continue;
    if (n.bytes > 1 && !ordered) return Error{kRule};
    type.number = n.kind;
    type.big_endian = type.big_endian && n.bytes > 1;
    return type;
  }
  return Error{kRule};
}

std::string to_string(const SampleType& type) {
  const NumberName& n = entry_of(type.number);
  std::string text(1, type.complex ? 'c' : 'r');
  text += n.name;
  if (n.bytes > 1) text += type.big_endian ? "_be" : "_le";
  return text;
}

std::size_t number_bytes(NumberKind kind) { return entry_of(kind).bytes; }

std::size_t sample_bytes(const SampleType& type) {
  return number_bytes(type.number) * (type.complex ? 2U : 1U);
}

}  // namespace fixwright::agent::iq
