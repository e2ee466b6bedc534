#include "server/web/http/ogc_query.hpp"

#include <fmt/core.h>

#include <charconv>
#include <optional>
#include <set>

namespace fixwright::web {

namespace {

constexpr std::size_t kDefaultFeatures = 1000;
constexpr std::size_t kMaxOffset = 100'000'000;

Error refusal(std::string_view key, std::string_view value, std::string_view rule) {
  return Error{fmt::format("query: {} = {}: {}", key, value, rule)};
}

Result<std::size_t> whole(std::string_view key, std::string_view text, std::size_t low,
                          std::size_t high) {
  std::size_t value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  const bool read = error == std::errc{} && end == text.data() + text.size();
  if (!read || value < low || value > high) {
    return refusal(key, text, fmt::format("must be {} to {}", low, high));
  }
  return value;
}

/// An end of an interval: ".." and nothing are open.
std::optional<Error> keep_end(std::string_view text, std::optional<TimePoint>& end) {
  if (text.empty() || text == "..") return std::nullopt;
  const auto time = parse_rfc3339(text);
  if (!time) return refusal("datetime", text, time.error());
  end = *time;
  return std::nullopt;
}

std::optional<Error> keep_stretch(std::string_view text, FeatureFilter& filter) {
  const auto slash = text.find('/');
  const bool instant = slash == std::string_view::npos;
  if (const auto error = keep_end(text.substr(0, slash), filter.from)) return error;
  if (const auto error = keep_end(instant ? text : text.substr(slash + 1), filter.until)) {
    return error;
  }
  if (!filter.from && !filter.until) {
    return refusal("datetime", text, "must be a time, or FROM/UNTIL with one of them at least");
  }
  return std::nullopt;
}

std::optional<Error> apply(const std::string& key, const std::string& value,
                           FeatureFilter& filter) {
  if (key == "datetime") return keep_stretch(value, filter);
  if (key == "bbox") {
    const auto box = parse_box(value);
    if (!box) return refusal(key, value, box.error());
    filter.box = *box;
    return std::nullopt;
  }
  if (key != "limit" && key != "offset") {
    return Error{fmt::format("query: {}: unknown key", key)};
  }
  const bool limit = key == "limit";
  // As the standard asks, a limit that is too high is lowered, not refused.
  const auto number = whole(key, value, limit ? 1 : 0, kMaxOffset);
  if (!number) return Error{number.error()};
  (limit ? filter.limit : filter.offset) = limit ? std::min(*number, kMaxFeatures) : *number;
  return std::nullopt;
}

}  // namespace

Result<FeatureFilter> feature_filter(const Target& target) {
  FeatureFilter filter;
  filter.limit = kDefaultFeatures;
  std::set<std::string> seen;
  for (const auto& [key, value] : target.query) {
    if (!seen.insert(key).second) return refusal(key, value, "given twice");
    if (const auto error = apply(key, value, filter)) return *error;
  }
  return filter;
}

}  // namespace fixwright::web
