#include "server/tools/emitter_name.hpp"

#include <fmt/core.h>

#include <charconv>

#include "server/base/text.hpp"

namespace fixwright::tools {

namespace {

bool read_whole(std::string_view text, std::int64_t& value) {
  const char* const end = text.data() + text.size();
  const auto [stop, fault] = std::from_chars(text.data(), end, value);
  return fault == std::errc{} && stop == end;
}

}  // namespace

std::optional<EmitterKey> parse_emitter_name(std::string_view text) {
  const auto slash = text.find('/');
  if (slash == std::string_view::npos) return std::nullopt;
  EmitterKey key;
  const bool read =
      read_whole(text.substr(0, slash), key.channel) && read_whole(text.substr(slash + 1), key.id);
  return read ? std::optional{key} : std::nullopt;
}

std::optional<EmitterKey> given_emitter(std::string_view prefix, const std::string& text,
                                        std::ostream& err) {
  const auto key = parse_emitter_name(text);
  if (!key) {
    err << fmt::format("{}emitter = \"{}\": must be CHANNEL/ID, as `fixwright emitters` names it\n",
                       prefix, one_line(text, 100));
  }
  return key;
}

}  // namespace fixwright::tools
