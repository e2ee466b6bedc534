#pragma once
/// What a ConfigFile remembers while it is read. For config.cpp alone: it shows toml++.

#include <toml++/toml.h>

#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace fixwright {

/// One mistake, and where it stands.
struct ConfigProblem {
  std::size_t line = 1;
  std::string text;
};

struct ConfigState {
  std::string name;  // of the file, as the operator gave it
  toml::table root;
  /// Keys that the program asked for, by the path of their table: the known ones.
  std::map<std::string, std::set<std::string>, std::less<>> asked;
  std::vector<ConfigProblem> problems;

  /// Notes a mistake once, however often its key is read.
  void note(std::size_t line, std::string text);
};

/// "align" and "window_s" make "align.window_s"; in the root, the key alone.
std::string config_path(std::string_view table, std::string_view key);

/// A value as the operator wrote it, on one line: 0, "on", a table, a list.
std::string config_value(const toml::node& value);

/// The line of a key in its table.
std::size_t config_line(const toml::table& table, std::string_view key);

/// "FILE:LINE: KEY: unknown key; did you mean …?" for every key that nobody asked for.
std::vector<ConfigProblem> unknown_keys(const ConfigState& state);

/// Empty when the text may be handed to toml++: not too long, not nested too deeply.
std::string config_limits(std::string_view toml, std::string_view name);

}  // namespace fixwright
