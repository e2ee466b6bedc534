#pragma once
/// Fields of a result as model values.

#include <charconv>
#include <optional>
#include <pqxx/pqxx>
#include <string>
#include <vector>

#include "server/base/time.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// "NAME" as microseconds since 1970, for time(): text forms of times depend on settings.
inline std::string as_microseconds(const std::string& expression, const std::string& name) {
  return "(extract(epoch FROM " + expression + ") * 1000000)::bigint AS " + name;
}

inline TimePoint time(const pqxx::field& field) {
  return TimePoint{std::chrono::microseconds(field.as<std::int64_t>())};
}

inline std::optional<TimePoint> optional_time(const pqxx::field& field) {
  if (field.is_null()) return std::nullopt;
  return time(field);
}

template <typename T>
std::optional<T> optional(const pqxx::field& field) {
  if (field.is_null()) return std::nullopt;
  return field.as<T>();
}

/// A column of words as its enumeration, whose highest enumerator is `last`.
template <typename Enum>
Enum word(const pqxx::field& field, Enum last) {
  for (int i = 0; i <= static_cast<int>(last); ++i) {
    if (field.c_str() == to_string(static_cast<Enum>(i))) return static_cast<Enum>(i);
  }
  throw DatabaseRefused(std::string("column ") + field.name() + " holds the word " + field.c_str() +
                        ", which this server does not know");
}

/// An array of numbers without NULLs; none for NULL.
template <typename Number = double>
std::vector<Number> numbers(const pqxx::field& field) {
  std::vector<Number> values;
  if (field.is_null()) return values;
  const char* const end = field.c_str() + field.size();
  for (const char* at = field.c_str() + 1; at < end; ++at) {  // past "{", then past each ","
    Number value{};
    const auto read = std::from_chars(at, end, value);
    if (read.ec != std::errc{}) break;  // the "}" of an empty array
    values.push_back(value);
    at = read.ptr;
  }
  return values;
}

}  // namespace fixwright::store
