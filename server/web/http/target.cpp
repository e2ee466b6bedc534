#include "server/web/http/target.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <optional>

namespace fixwright::web {

namespace {

std::optional<int> hex_digit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return std::nullopt;
}

std::optional<std::string> percent_decode(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '%') {
      out += text[i];
      continue;
    }
    if (i + 2 >= text.size()) return std::nullopt;
    const auto high = hex_digit(text[i + 1]);
    const auto low = hex_digit(text[i + 2]);
    if (!high || !low) return std::nullopt;
    out += static_cast<char>(*high * 16 + *low);
    i += 2;
  }
  return out;
}

bool is_forbidden(char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f || c == '\\'; }

bool has_dot_segment(std::string_view path) {
  while (!path.empty()) {
    path.remove_prefix(1);  // the slash
    const auto segment = path.substr(0, path.find('/'));
    if (segment == "." || segment == "..") return true;
    path.remove_prefix(segment.size());
  }
  return false;
}

Result<std::string> decode_path(std::string_view raw) {
  auto path = percent_decode(raw);
  if (!path) return Error{"path: a % must be followed by two hexadecimal digits"};
  if (path->empty() || path->front() != '/') return Error{"path: must begin with /"};
  if (std::any_of(path->begin(), path->end(), is_forbidden)) {
    return Error{"path: control characters and backslashes are not allowed"};
  }
  if (has_dot_segment(*path)) return Error{"path: . and .. are not allowed"};
  return *std::move(path);
}

}  // namespace

Result<Target> parse_target(std::string_view target) {
  const auto mark = target.find('?');
  auto path = decode_path(target.substr(0, mark));
  if (!path) return Error{path.error()};
  Target out{std::move(path).value(), {}};
  auto rest = mark == std::string_view::npos ? std::string_view{} : target.substr(mark + 1);
  while (!rest.empty()) {
    const auto pair = rest.substr(0, rest.find('&'));
    rest.remove_prefix(std::min(pair.size() + 1, rest.size()));
    const auto equals = pair.find('=');
    const auto key = percent_decode(pair.substr(0, equals));
    const auto value =
        percent_decode(equals == std::string_view::npos ? "" : pair.substr(equals + 1));
    if (!key || !value || key->empty()) {
      return Error{fmt::format("query: \"{}\" is not key=value", pair)};
    }
    out.query.emplace_back(*key, *value);
  }
  return out;
}

}  // namespace fixwright::web
