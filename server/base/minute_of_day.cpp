#include "server/base/minute_of_day.hpp"

#include <charconv>

namespace fixwright {

std::optional<int> parse_minute_of_day(std::string_view text) {
  int hour = 0;
  int minute = 0;
  const char* const end = text.data() + text.size();
  const auto h = std::from_chars(text.data(), end, hour);
  if (h.ec != std::errc{} || h.ptr == end || *h.ptr != ':') return std::nullopt;
  const auto m = std::from_chars(h.ptr + 1, end, minute);
  const bool fits =
      m.ec == std::errc{} && m.ptr == end && hour >= 0 && hour < 24 && minute >= 0 && minute < 60;
  return fits ? std::optional<int>(60 * hour + minute) : std::nullopt;
}

}  // namespace fixwright
