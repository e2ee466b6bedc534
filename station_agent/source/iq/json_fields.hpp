#pragma once
/// One object of a metadata file, read key by key; every mistake becomes one line.

#include <cstdint>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fixwright::agent::iq {

/// The lines about one file.
struct JsonProblems {
  static constexpr std::size_t kMost = 20;

  std::string file;
  std::vector<std::string> lines;

  void add(const std::string& what);
};

class JsonFields {
 public:
  /// \param place  "global", "captures[0]". Both arguments must outlive this.
  JsonFields(const nlohmann::json& object, std::string place, JsonProblems& problems);

  /// Absent where the key is not there, and after a mistake was noted.
  [[nodiscard]] std::optional<double> number(std::string_view key, double min, double max) const;
  /// A whole number, also one written as 5.0.
  [[nodiscard]] std::optional<std::uint64_t> count(std::string_view key, std::uint64_t min,
                                                   std::uint64_t max) const;
  [[nodiscard]] std::optional<std::string> text(std::string_view key) const;
  [[nodiscard]] std::optional<bool> flag(std::string_view key) const;
  /// The object's own value, or nullptr.
  [[nodiscard]] const nlohmann::json* find(std::string_view key) const;

  void complain(std::string_view key, std::string_view rule) const;
  void missing(std::string_view key, std::string_view rule) const;
  [[nodiscard]] JsonProblems& problems() const { return problems_; }
  [[nodiscard]] const std::string& place() const { return place_; }

 private:
  const nlohmann::json& object_;
  std::string place_;
  JsonProblems& problems_;
};

}  // namespace fixwright::agent::iq
