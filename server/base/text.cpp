#include "server/base/text.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cstdint>
#include <vector>

#include "server/base/utf8.hpp"

namespace fixwright {

namespace {

/// One character at the front of a text; `bytes` is 1 and `valid` false for a stray byte.
struct Character {
  std::uint32_t code = 0;
  std::size_t bytes = 1;
  bool valid = false;
};

std::uint32_t byte_at(std::string_view text, std::size_t i) {
  return static_cast<unsigned char>(text[i]);
}

/// Length of the sequence that a first byte opens, if it may open one.
std::size_t sequence_length(std::uint32_t first) {
  if (first < 0xC0) return 1;
  if (first < 0xE0) return 2;
  return first < 0xF0 ? 3 : 4;
}

/// \pre text is not empty.
Character first_character(std::string_view text) {
  const std::uint32_t first = byte_at(text, 0);
  const std::size_t bytes = sequence_length(first);
  if (bytes > text.size() || !is_utf8(text.substr(0, bytes))) return {};
  std::uint32_t code = bytes == 1 ? first : first & (0x7FU >> bytes);
  for (std::size_t i = 1; i < bytes; ++i) code = (code << 6U) | (byte_at(text, i) & 0x3FU);
  return {code, bytes, true};
}

bool is_harmless(const Character& c) {
  const auto within = [&c](std::uint32_t low, std::uint32_t high) {
    return c.code >= low && c.code <= high;
  };
  const bool control = within(0, 0x1F) || within(0x7F, 0x9F);
  const bool breaks_or_reorders =
      within(0x200E, 0x200F) || within(0x2028, 0x202E) || within(0x2066, 0x2069);
  return c.valid && !control && !breaks_or_reorders;
}

std::string escaped(std::string_view bytes) {
  if (bytes == "\n") return "\\n";
  if (bytes == "\r") return "\\r";
  if (bytes == "\t") return "\\t";
  std::string text;
  for (const char c : bytes) text += fmt::format("\\x{:02X}", static_cast<unsigned char>(c));
  return text;
}

}  // namespace

std::string one_line(std::string_view text, std::size_t max_bytes) {
  std::string line;
  std::string_view rest = text;
  while (!rest.empty()) {
    const Character c = first_character(rest);
    if (text.size() - rest.size() + c.bytes > max_bytes) {
      return line + fmt::format("… ({} more bytes)", rest.size());
    }
    const std::string_view bytes = rest.substr(0, c.bytes);
    line += is_harmless(c) ? std::string{bytes} : escaped(bytes);
    rest.remove_prefix(c.bytes);
  }
  return line;
}

std::string valid_utf8(std::string_view text) {
  std::string valid;
  while (!text.empty()) {
    const Character c = first_character(text);
    valid += c.valid ? text.substr(0, c.bytes) : std::string_view{"\xEF\xBF\xBD"};
    text.remove_prefix(c.bytes);
  }
  return valid;
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
  const std::size_t width = b.size() + 1;
  std::vector<std::size_t> d((a.size() + 1) * width);
  const auto at = [&d, width](std::size_t i, std::size_t j) -> std::size_t& {
    return d[i * width + j];
  };
  for (std::size_t i = 0; i <= a.size(); ++i) at(i, 0) = i;
  for (std::size_t j = 0; j <= b.size(); ++j) at(0, j) = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = at(i - 1, j - 1) + (a[i - 1] == b[j - 1] ? 0 : 1);
      at(i, j) = std::min({at(i - 1, j) + 1, at(i, j - 1) + 1, replaced});
      const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
      if (swapped) at(i, j) = std::min(at(i, j), at(i - 2, j - 2) + 1);
    }
  }
  return at(a.size(), b.size());
}

}  // namespace fixwright
