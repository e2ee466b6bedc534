#include "server/base/config_state.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <optional>

#include "server/base/config.hpp"
#include "server/base/text.hpp"

namespace fixwright {

namespace {

/// A key nested deeper than this is no configuration; toml++ has no limit of its own for
/// "a.a.a…", and would run out of stack.
constexpr int kMaxKeyParts = 32;

/// At least two thirds of the shorter word must be right for a guess to be worth telling.
std::optional<std::string> nearest(std::string_view key, const std::set<std::string>& known) {
  std::optional<std::string> best;
  std::size_t best_distance = 0;
  for (const std::string& candidate : known) {
    const std::size_t distance = edit_distance(key.substr(0, 100), candidate);
    if (distance * 3 > std::min(key.size(), candidate.size()) + 1) continue;
    if (best && distance >= best_distance) continue;
    best = candidate;
    best_distance = distance;
  }
  return best;
}

/// The table in which a key of exactly this name is known.
std::optional<std::string> home_of(const ConfigState& state, std::string_view key) {
  for (const auto& [path, keys] : state.asked) {
    if (keys.contains(std::string{key})) return path;
  }
  return std::nullopt;
}

std::string unknown_key_hint(const ConfigState& state, const std::string& path,
                             std::string_view key) {
  const auto& known = state.asked.at(path);
  if (const auto guess = nearest(key, known)) {
    return fmt::format("did you mean {}?", config_path(path, *guess));
  }
  if (const auto home = home_of(state, key)) {
    return fmt::format("it is known as {}", config_path(*home, key));
  }
  return "remove it";
}

void find_unknown(const ConfigState& state, const std::string& path, const toml::table& table,
                  std::vector<ConfigProblem>& found);

/// The tables of a list; their paths count from 1.
void find_unknown_in_list(const ConfigState& state, const std::string& path,
                          const toml::array& list, std::vector<ConfigProblem>& found) {
  std::size_t n = 0;
  for (const toml::node& element : list) {
    const std::string element_path = fmt::format("{}[{}]", path, ++n);
    if (const auto* table = element.as_table()) find_unknown(state, element_path, *table, found);
  }
}

void find_unknown(const ConfigState& state, const std::string& path, const toml::table& table,
                  std::vector<ConfigProblem>& found) {
  const auto known = state.asked.find(path);
  if (known == state.asked.end()) return;  // nobody opened it, and that was told
  for (const auto& [key, value] : table) {
    const std::string key_path = config_path(path, key.str());
    if (!known->second.contains(std::string{key.str()})) {
      found.push_back(
          {config_line(table, key.str()), fmt::format("{}: unknown {}; {}", one_line(key_path, 200),
                                                      value.is_table() ? "table" : "key",
                                                      unknown_key_hint(state, path, key.str()))});
    } else if (const auto* inner = value.as_table()) {
      find_unknown(state, key_path, *inner, found);
    } else if (const auto* list = value.as_array()) {
      find_unknown_in_list(state, key_path, *list, found);
    }
  }
}

/// The longest run of key parts, as the dots of one key or of one table's name tell it.
int longest_key(std::string_view toml) {
  int longest = 0;
  int dots = 0;
  bool comment = false;
  for (const char c : toml) {
    if (c == '\n') comment = false;
    if (c == '#') comment = true;
    if (comment) continue;
    if (c == '.') longest = std::max(longest, ++dots);
    if (c == '\n' || c == '=' || c == ',' || c == '{') dots = 0;
  }
  return longest + 1;
}

}  // namespace

void ConfigState::note(std::size_t line, std::string text) {
  const bool known = std::any_of(problems.begin(), problems.end(), [&](const ConfigProblem& p) {
    return p.line == line && p.text == text;
  });
  if (!known) problems.push_back({line, std::move(text)});
}

std::string config_path(std::string_view table, std::string_view key) {
  return table.empty() ? std::string{key} : fmt::format("{}.{}", table, key);
}

std::string config_value(const toml::node& value) {
  if (value.is_table()) return "a table";
  if (value.is_array()) return "a list";
  if (const auto* text = value.as_string()) {
    return fmt::format("\"{}\"", one_line(text->get(), 60));
  }
  if (const auto* number = value.as_floating_point()) return fmt::format("{}", number->get());
  if (const auto* integer = value.as_integer()) return fmt::format("{}", integer->get());
  if (const auto* flag = value.as_boolean()) return flag->get() ? "true" : "false";
  return "a date or time";
}

std::size_t config_line(const toml::table& table, std::string_view key) {
  const auto found = table.find(key);
  return found == table.end() ? table.source().begin.line : found->first.source().begin.line;
}

std::vector<ConfigProblem> unknown_keys(const ConfigState& state) {
  std::vector<ConfigProblem> found;
  find_unknown(state, "", state.root, found);
  return found;
}

std::string config_limits(std::string_view toml, std::string_view name) {
  if (toml.size() > kMaxConfigBytes) {
    return fmt::format("{}: is longer than {} bytes: it can't be a configuration", name,
                       kMaxConfigBytes);
  }
  if (longest_key(toml) > kMaxKeyParts) {
    return fmt::format("{}: a key has more than {} parts: it can't be a configuration", name,
                       kMaxKeyParts);
  }
  return "";
}

}  // namespace fixwright
