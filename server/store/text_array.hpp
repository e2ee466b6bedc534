#pragma once
/// A column of values as one parameter: the text form of a one-dimensional PostgreSQL array.

#include <charconv>
#include <concepts>
#include <optional>
#include <string>
#include <string_view>

#include "server/base/geo.hpp"
#include "server/base/time.hpp"

namespace fixwright::store {

class TextArray {
 public:
  void add_null() { begin() += "NULL"; }

  template <typename Number>
  requires std::integral<Number> || std::floating_point<Number>
  void add(Number value) {
    char digits[32];  // a double's shortest exact form has 24 characters at most
    const auto end = std::to_chars(digits, digits + sizeof digits, value).ptr;
    begin().append(digits, end);
  }
  void add(bool value) { begin() += value ? "t" : "f"; }
  void add(std::string_view value);
  void add(const std::string& value) { add(std::string_view(value)); }
  void add(TimePoint value);  // cut to the microsecond
  void add(const GeoPoint& value);

  template <typename T>
  void add(const std::optional<T>& value) {
    value ? add(*value) : add_null();
  }

  [[nodiscard]] std::string literal() const { return text_ + "}"; }

 private:
  std::string& begin() { return text_.size() > 1 ? text_ += ',' : text_; }

  std::string text_ = "{";
};

}  // namespace fixwright::store
