#include "server/base/config.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cassert>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <limits>
#include <optional>

#include "server/base/config_state.hpp"
#include "server/base/text.hpp"

namespace fixwright {

struct ConfigTable::Impl {
  ConfigState* state = nullptr;
  const toml::table* table = nullptr;  // none: the table is absent
  std::string path;
  std::size_t line = 1;  // where a missing key would belong

  [[nodiscard]] const toml::node* ask(std::string_view key) const {
    state->asked[path].emplace(key);
    return table == nullptr ? nullptr : table->get(key);
  }

  /// "align.window_s = 0: must be 1 to 3600", or "…: missing: must be …".
  void complain(std::string_view key, std::string_view rule) const {
    const toml::node* value = table == nullptr ? nullptr : table->get(key);
    const std::string where = one_line(config_path(path, key), 200);
    if (value == nullptr) {
      state->note(line, fmt::format("{}: missing: {}", where, rule));
    } else {
      state->note(config_line(*table, key),
                  fmt::format("{} = {}: {}", where, config_value(*value), rule));
    }
  }

  /// The table at a key as a new Impl; `inner` may be null.
  [[nodiscard]] std::shared_ptr<const Impl> opened(std::string inner_path, const toml::table* inner,
                                                   std::size_t inner_line) const {
    state->asked[inner_path];  // opened: its keys are judged
    return std::make_shared<const Impl>(Impl{state, inner, std::move(inner_path), inner_line});
  }
};

struct ConfigFile::Impl {
  ConfigState state;
};

namespace {

/// "1 to 3600", "1 or more", "3600 or less".
template <typename T>
std::string range(T min, T max) {
  using Limits = std::numeric_limits<T>;
  if (max == Limits::max() || max == Limits::infinity()) return fmt::format("{} or more", min);
  if (min == Limits::lowest() || min == -Limits::infinity()) return fmt::format("{} or less", max);
  return fmt::format("{} to {}", min, max);
}

std::string listed(const std::vector<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : ", ") + word;
  return text;
}

std::string text_rule(const TextRule& rule) {
  if (!rule.one_of.empty()) return "must be one of " + listed(rule.one_of);
  return rule.required ? "must be text in quotes, not empty" : "must be text in quotes";
}

/// At most one byte more than is allowed, so that a file without end is no trap either.
Result<std::string> read_bounded(const std::filesystem::path& path) {
  const std::string name = one_line(path.string());
  std::error_code ignored;
  if (std::filesystem::is_directory(path, ignored)) {
    return Error{name + ": is a folder: give a TOML file"};
  }
  errno = 0;
  std::ifstream file{path, std::ios::binary};
  if (!file) return Error{fmt::format("{}: can't be read: {}", name, std::strerror(errno))};
  std::string text(kMaxConfigBytes + 1, '\0');
  file.read(text.data(), static_cast<std::streamsize>(text.size()));
  if (file.bad()) return Error{fmt::format("{}: can't be read: {}", name, std::strerror(errno))};
  text.resize(static_cast<std::size_t>(file.gcount()));
  return text;
}

}  // namespace

double ConfigTable::number(std::string_view key, const NumberRule& rule) const {
  assert(rule.min < rule.max);
  const toml::node* value = impl_->ask(key);
  if (value == nullptr && !rule.required) return rule.fallback;
  const auto number =
      value != nullptr && value->is_number() ? value->value<double>() : std::nullopt;
  if (number && *number >= rule.min && *number <= rule.max) return *number;  // NaN is outside
  impl_->complain(
      key, fmt::format("must be {}{}", number ? "" : "a number, ", range(rule.min, rule.max)));
  return rule.fallback;
}

std::int64_t ConfigTable::integer(std::string_view key, const IntegerRule& rule) const {
  assert(rule.min < rule.max);
  const toml::node* value = impl_->ask(key);
  if (value == nullptr && !rule.required) return rule.fallback;
  const auto* number = value == nullptr ? nullptr : value->as_integer();
  if (number != nullptr && number->get() >= rule.min && number->get() <= rule.max) {
    return number->get();
  }
  impl_->complain(key, fmt::format("must be {}{}", number != nullptr ? "" : "a whole number, ",
                                   range(rule.min, rule.max)));
  return rule.fallback;
}

std::string ConfigTable::text(std::string_view key, const TextRule& rule) const {
  const toml::node* value = impl_->ask(key);
  if (value == nullptr && !rule.required) return rule.fallback;
  const auto* text = value == nullptr ? nullptr : value->as_string();
  if (text != nullptr && rule.one_of.empty() && !(rule.required && text->get().empty())) {
    return text->get();
  }
  if (text != nullptr && std::count(rule.one_of.begin(), rule.one_of.end(), text->get()) > 0) {
    return text->get();
  }
  impl_->complain(key, text_rule(rule));
  return rule.fallback;
}

bool ConfigTable::flag(std::string_view key, bool fallback) const {
  const toml::node* value = impl_->ask(key);
  if (value == nullptr) return fallback;
  if (const auto* flag = value->as_boolean()) return flag->get();
  impl_->complain(key, "must be true or false");
  return fallback;
}

std::vector<std::string> ConfigTable::texts(std::string_view key) const {
  const toml::node* value = impl_->ask(key);
  if (value == nullptr) return {};
  const auto* list = value->as_array();
  std::vector<std::string> found;
  if (list != nullptr) {
    for (const toml::node& element : *list) {
      if (const auto* text = element.as_string()) found.push_back(text->get());
    }
  }
  if (list != nullptr && found.size() == list->size()) return found;
  impl_->complain(key, "must be a list of texts, like [\"a\", \"b\"]");
  return {};
}

ConfigTable ConfigTable::table(std::string_view key) const {
  const toml::node* value = impl_->ask(key);
  const toml::table* inner = value == nullptr ? nullptr : value->as_table();
  if (value != nullptr && inner == nullptr) {
    impl_->complain(key, fmt::format("must be a table, [{}]", config_path(impl_->path, key)));
  }
  const std::size_t line = inner == nullptr ? impl_->line : config_line(*impl_->table, key);
  return ConfigTable{impl_->opened(config_path(impl_->path, key), inner, line)};
}

std::vector<ConfigTable> ConfigTable::tables(std::string_view key) const {
  const toml::node* value = impl_->ask(key);
  if (value == nullptr) return {};
  const toml::array* list = value->as_array();
  const std::string path = config_path(impl_->path, key);
  if (list == nullptr || !list->is_homogeneous(toml::node_type::table)) {
    if (list != nullptr && list->empty()) return {};
    impl_->complain(key, fmt::format("must be a list of tables, [[{}]]", path));
    return {};
  }
  std::vector<ConfigTable> found;
  for (const toml::node& element : *list) {
    found.push_back(ConfigTable{impl_->opened(fmt::format("{}[{}]", path, found.size() + 1),
                                              element.as_table(), element.source().begin.line)});
  }
  return found;
}

std::vector<std::string> ConfigTable::keys() const {
  std::vector<std::string> found;
  if (impl_->table == nullptr) return found;
  for (const auto& [key, value] : *impl_->table) {
    impl_->state->asked[impl_->path].emplace(key.str());
    found.emplace_back(key.str());
  }
  return found;
}

bool ConfigTable::has(std::string_view key) const { return impl_->ask(key) != nullptr; }

void ConfigTable::complain(std::string_view key, std::string_view rule) const {
  impl_->complain(key, rule);
}

Result<ConfigFile> ConfigFile::from_path(const std::filesystem::path& path) {
  const auto text = read_bounded(path);
  if (!text) return Error{text.error()};
  return from_text(*text, path.string());
}

Result<ConfigFile> ConfigFile::from_text(std::string_view toml, std::string_view name) {
  const std::string shown = one_line(name);
  if (std::string limit = config_limits(toml, shown); !limit.empty()) {
    return Error{std::move(limit)};
  }
  try {
    auto impl = std::make_unique<Impl>();
    impl->state.name = shown;
    impl->state.root = toml::parse(toml);
    return ConfigFile{std::move(impl)};
  } catch (const toml::parse_error& e) {
    return Error{fmt::format("{}:{}: column {}: {}", shown, e.source().begin.line,
                             e.source().begin.column, one_line(e.description(), 300))};
  }
}

ConfigFile::ConfigFile(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
ConfigFile::ConfigFile(ConfigFile&&) noexcept = default;
ConfigFile& ConfigFile::operator=(ConfigFile&&) noexcept = default;
ConfigFile::~ConfigFile() = default;

ConfigTable ConfigFile::root() const {
  ConfigState& state = impl_->state;
  return ConfigTable{ConfigTable::Impl{&state, nullptr, "", 1}.opened("", &state.root, 1)};
}

std::vector<std::string> ConfigFile::problems() const {
  std::vector<ConfigProblem> all = impl_->state.problems;
  const std::vector<ConfigProblem> unknown = unknown_keys(impl_->state);
  all.insert(all.end(), unknown.begin(), unknown.end());
  std::stable_sort(all.begin(), all.end(),
                   [](const ConfigProblem& a, const ConfigProblem& b) { return a.line < b.line; });
  std::vector<std::string> lines;
  for (const ConfigProblem& p : all) {
    lines.push_back(fmt::format("{}:{}: {}", impl_->state.name, p.line, p.text));
  }
  return lines;
}

}  // namespace fixwright
