#include "server/base/utf8.hpp"

#include <cstddef>

namespace fixwright {

namespace {

struct LeadByte {
  std::size_t followers = 0;
  unsigned char second_min = 0x80;
  unsigned char second_max = 0xBF;
  bool allowed = true;
};

/// RFC 3629, section 4: what may follow each first byte.
LeadByte lead_byte(unsigned char b) {
  if (b < 0x80) return {0};
  if (b >= 0xC2 && b <= 0xDF) return {1};
  if (b == 0xE0) return {2, 0xA0};
  if (b == 0xED) return {2, 0x80, 0x9F};
  if (b >= 0xE1 && b <= 0xEF) return {2};
  if (b == 0xF0) return {3, 0x90};
  if (b >= 0xF1 && b <= 0xF3) return {3};
  if (b == 0xF4) return {3, 0x80, 0x8F};
  return {0, 0, 0, false};
}

}  // namespace

bool is_utf8(std::string_view bytes) {
  const auto at = [&](std::size_t i) { return static_cast<unsigned char>(bytes[i]); };
  for (std::size_t i = 0; i < bytes.size();) {
    const LeadByte lead = lead_byte(at(i));
    if (!lead.allowed || bytes.size() - i <= lead.followers) return false;
    if (lead.followers > 0 && (at(i + 1) < lead.second_min || at(i + 1) > lead.second_max)) {
      return false;
    }
    for (std::size_t k = 2; k <= lead.followers; ++k) {
      if (at(i + k) < 0x80 || at(i + k) > 0xBF) return false;
    }
    i += lead.followers + 1;
  }
  return true;
}

}  // namespace fixwright
