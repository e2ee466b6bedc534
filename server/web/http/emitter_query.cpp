#include "server/web/http/emitter_query.hpp"

#include <fmt/core.h>

#include <charconv>
#include <cmath>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <system_error>

namespace fixwright::web {

namespace {

constexpr std::size_t kDefaultEmitters = 1000;

Error refusal(std::string_view key, std::string_view value, std::string_view rule) {
  return Error{fmt::format("query: {} = {}: {}", key, value, rule)};
}

template <typename T>
std::optional<T> whole(std::string_view text) {
  T value{};
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

Result<std::size_t> parse_limit(std::string_view text, std::size_t max) {
  const auto value = whole<std::size_t>(text);
  if (!value || *value < 1 || *value > max) {
    return refusal("limit", text, fmt::format("must be 1 to {}", max));
  }
  return *value;
}

Result<double> parse_frequency_hz(std::string_view key, std::string_view text) {
  const auto value = whole<double>(text);
  if (!value || !std::isfinite(*value) || *value < 0.0) {
    return refusal(key, text, "must be hertz, 0 or more");
  }
  return *value;
}

Result<EmitterState> parse_state(std::string_view text) {
  for (const auto state : {EmitterState::tentative, EmitterState::confirmed, EmitterState::silent,
                           EmitterState::retired}) {
    if (text == to_string(state)) return state;
  }
  return refusal("state", text, "must be tentative, confirmed, silent or retired");
}

template <typename T, typename To>
std::optional<Error> keep(const Result<T>& parsed, To& to) {
  if (!parsed) return Error{parsed.error()};
  to = *parsed;
  return std::nullopt;
}

std::optional<Error> apply(const std::string& key, const std::string& value,
                           EmitterFilter& filter) {
  if (key == "limit") return keep(parse_limit(value, kMaxEmitters), filter.limit);
  if (key == "min_frequency_hz") {
    return keep(parse_frequency_hz(key, value), filter.min_frequency_hz);
  }
  if (key == "max_frequency_hz") {
    return keep(parse_frequency_hz(key, value), filter.max_frequency_hz);
  }
  if (key == "state") return keep(parse_state(value), filter.states.emplace_back());
  if (key == "heard_since") {
    const auto time = parse_rfc3339(value);
    if (!time) return refusal(key, value, time.error());
    filter.heard_since = *time;
    return std::nullopt;
  }
  return Error{fmt::format("query: {}: unknown key", key)};
}

}  // namespace

Result<EmitterFilter> emitter_filter(const Target& target) {
  EmitterFilter filter;
  filter.limit = kDefaultEmitters;
  std::set<std::string> seen;
  for (const auto& [key, value] : target.query) {
    if (!seen.insert(key).second && key != "state") {
      return refusal(key, value, "given twice");
    }
    if (const auto error = apply(key, value, filter)) return *error;
  }
  return filter;
}

Result<std::size_t> limit_of(const Target& target, std::size_t fallback, std::size_t max) {
  std::size_t limit = fallback;
  for (const auto& [key, value] : target.query) {
    if (key != "limit") return Error{fmt::format("query: {}: unknown key", key)};
    const auto parsed = parse_limit(value, max);
    if (!parsed) return Error{parsed.error()};
    limit = *parsed;
  }
  return limit;
}

}  // namespace fixwright::web
