#include "server/tools/fix_name.hpp"

#include <charconv>

#include "server/base/time.hpp"

namespace fixwright::tools {

namespace {

template <typename Number>
std::optional<Number> whole(std::string_view text) {
  Number value{};
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (fault != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

/// In RFC 3339, or as transmission_id: ns since 1970.
std::optional<TimePoint> start_of(std::string_view text) {
  if (const auto ns = whole<std::int64_t>(text)) return TimePoint{Duration{*ns}};
  const auto start = parse_rfc3339(text);
  return start ? std::optional{*start} : std::nullopt;
}

}  // namespace

std::optional<FixKey> parse_fix_name(std::string_view text) {
  const auto first = text.find('/');
  const auto last = text.rfind('/');
  if (first == std::string_view::npos || first == last) return std::nullopt;
  const auto channel = whole<ChannelId>(text.substr(0, first));
  const auto start = start_of(text.substr(first + 1, last - first - 1));
  const auto ordinal = whole<std::int32_t>(text.substr(last + 1));
  if (!channel || !start || !ordinal || *ordinal < 0) return std::nullopt;
  return FixKey{{*channel, *start}, *ordinal};
}

}  // namespace fixwright::tools
