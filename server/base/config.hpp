#pragma once
/// Configuration from one TOML file, read key by key. Every mistake becomes one line that names
/// file, line, key, value, rule; reading goes on, so that all of them are told at once.
///
///     server.toml:14: align.lateness_s = 0: must be 1 to 3600
///     server.toml:9: align.latness_s: unknown key; did you mean align.lateness_s?
///     server.toml:8: align.slack_s: missing: must be a number, 0 to 60
///
/// The element n (from 1) of a list of tables is called station[n]. A key that is read, in
/// whatever way, is known; so read optional keys also where they are absent.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "server/base/result.hpp"

namespace fixwright {

inline constexpr std::size_t kMaxConfigBytes = 1'048'576;

/// Range, ends included, and default of a number; the default may lie outside, to mean "none".
/// `required` keys have no default. \pre min < max; an infinite end is no limit.
struct NumberRule {
  double min = 0.0;
  double max = 0.0;
  double fallback = 0.0;
  bool required = false;
};

struct IntegerRule {
  std::int64_t min = 0;
  std::int64_t max = 0;
  std::int64_t fallback = 0;
  bool required = false;
};

/// `one_of`, when not empty, lists the only values allowed. A required text is not empty.
struct TextRule {
  std::string fallback{};
  bool required = false;
  std::vector<std::string> one_of{};
};

class ConfigFile;

/// One table of a file. Copies are cheap; the ConfigFile must outlive them.
class ConfigTable {
 public:
  /// \return the value, or the default after a mistake was noted in the file's problems().
  [[nodiscard]] double number(std::string_view key, const NumberRule& rule) const;
  [[nodiscard]] std::int64_t integer(std::string_view key, const IntegerRule& rule) const;
  [[nodiscard]] std::string text(std::string_view key, const TextRule& rule = {}) const;
  [[nodiscard]] bool flag(std::string_view key, bool fallback) const;
  [[nodiscard]] std::vector<std::string> texts(std::string_view key) const;
  /// An absent table is an empty one.
  [[nodiscard]] ConfigTable table(std::string_view key) const;
  /// An array of tables: [[key]].
  [[nodiscard]] std::vector<ConfigTable> tables(std::string_view key) const;
  /// Every key of the table, for tables whose keys are the user's own; marks them known.
  [[nodiscard]] std::vector<std::string> keys() const;
  [[nodiscard]] bool has(std::string_view key) const;
  /// Notes a mistake of the caller's own finding: "FILE:LINE: KEY = VALUE: RULE".
  void complain(std::string_view key, std::string_view rule) const;

 private:
  friend class ConfigFile;
  struct Impl;
  explicit ConfigTable(std::shared_ptr<const Impl> impl) : impl_(std::move(impl)) {}
  std::shared_ptr<const Impl> impl_;
};

class ConfigFile {
 public:
  /// Fails when the file can't be read, is longer than kMaxConfigBytes or isn't TOML in UTF-8:
  /// "server.toml:3: column 7: …".
  static Result<ConfigFile> from_path(const std::filesystem::path& path);
  static Result<ConfigFile> from_text(std::string_view toml, std::string_view name);

  ConfigFile(ConfigFile&&) noexcept;
  ConfigFile& operator=(ConfigFile&&) noexcept;
  ~ConfigFile();

  [[nodiscard]] ConfigTable root() const;
  /// One line a mistake, in the file's order: those found while reading, and every key that
  /// nobody asked for. Call it when all has been read.
  [[nodiscard]] std::vector<std::string> problems() const;

 private:
  struct Impl;
  explicit ConfigFile(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace fixwright
