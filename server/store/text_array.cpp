#include "server/store/text_array.hpp"

namespace fixwright::store {

namespace {

std::string number(double value) {
  char digits[32];
  return {digits, std::to_chars(digits, digits + sizeof digits, value).ptr};
}

}  // namespace

void TextArray::add(std::string_view value) {
  std::string& text = begin();
  text += '"';
  for (const char c : value) {
    if (c == '"' || c == '\\') text += '\\';
    // PostgreSQL text can't hold a zero byte; one such label must not stop all others.
    if (c == '\0') {
      text += "\xEF\xBF\xBD";
    } else {
      text += c;
    }
  }
  text += '"';
}

void TextArray::add(TimePoint value) { add(std::string_view(format_rfc3339(value, 6))); }

void TextArray::add(const GeoPoint& value) {
  add(std::string_view("SRID=4326;POINT(" + number(value.longitude_deg) + " " +
                       number(value.latitude_deg) + ")"));
}

}  // namespace fixwright::store
