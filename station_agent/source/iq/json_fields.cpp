#include "station_agent/source/iq/json_fields.hpp"

#include <fmt/core.h>

#include <cmath>
#include <utility>

namespace fixwright::agent::iq {

namespace {

constexpr std::size_t kMostOfAValue = 60;

/// The value on one line, cut where it is long.
std::string shown(const nlohmann::json& value) {
  if (value.is_structured()) return value.is_array() ? "[…]" : "{…}";
  std::string text = value.dump(-1, ' ', true, nlohmann::json::error_handler_t::replace);
  if (text.size() > kMostOfAValue) text = text.substr(0, kMostOfAValue) + "…";
  return text;
}

/// 2^64 and above as well as below 0 are none.
std::optional<std::uint64_t> whole(const nlohmann::json& value) {
  if (value.is_number_unsigned()) return value.get<std::uint64_t>();
  if (!value.is_number_float()) return {};
  const auto x = value.get<double>();
  if (!(x >= 0.0 && x < 18446744073709551616.0) || std::floor(x) != x) return {};
  return static_cast<std::uint64_t>(x);
}

}  // namespace

void JsonProblems::add(const std::string& what) {
  if (lines.size() < kMost) lines.push_back(fmt::format("{}: {}", file, what));
}

JsonFields::JsonFields(const nlohmann::json& object, std::string place, JsonProblems& problems)
    : object_(object), place_(std::move(place)), problems_(problems) {
  if (!object_.is_object()) {
    problems_.add(fmt::format("{} = {}: must be an object", place_, shown(object_)));
  }
}

const nlohmann::json* JsonFields::find(std::string_view key) const {
  if (!object_.is_object()) return nullptr;
  const auto at = object_.find(key);
  return at == object_.end() ? nullptr : &*at;
}

std::optional<double> JsonFields::number(std::string_view key, double min, double max) const {
  const nlohmann::json* value = find(key);
  if (value == nullptr) return {};
  if (value->is_number()) {
    const auto x = value->get<double>();
    if (x >= min && x <= max) return x;
  }
  complain(key, fmt::format("must be a number, {:g} to {:g}", min, max));
  return {};
}

std::optional<std::uint64_t> JsonFields::count(std::string_view key, std::uint64_t min,
                                               std::uint64_t max) const {
  const nlohmann::json* value = find(key);
  if (value == nullptr) return {};
  const auto n = whole(*value);
  if (n && *n >= min && *n <= max) return n;
  complain(key, fmt::format("must be a whole number, {} to {}", min, max));
  return {};
}

std::optional<std::string> JsonFields::text(std::string_view key) const {
  const nlohmann::json* value = find(key);
  if (value == nullptr) return {};
  if (value->is_string()) return value->get<std::string>();
  complain(key, "must be a text");
  return {};
}

std::optional<bool> JsonFields::flag(std::string_view key) const {
  const nlohmann::json* value = find(key);
  if (value == nullptr) return {};
  if (value->is_boolean()) return value->get<bool>();
  complain(key, "must be true or false");
  return {};
}

void JsonFields::complain(std::string_view key, std::string_view rule) const {
  const nlohmann::json* value = find(key);
  if (value == nullptr) return missing(key, rule);
  problems_.add(fmt::format("{} {} = {}: {}", place_, key, shown(*value), rule));
}

void JsonFields::missing(std::string_view key, std::string_view rule) const {
  problems_.add(fmt::format("{} {}: missing: {}", place_, key, rule));
}

}  // namespace fixwright::agent::iq
