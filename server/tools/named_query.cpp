#include "server/tools/named_query.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <fstream>
#include <regex>
#include <sstream>

#include "server/base/text.hpp"
#include "server/base/time.hpp"

namespace fixwright::tools {

namespace {

struct KindWord {
  std::string_view word;
  ArgumentKind kind;
};
constexpr std::array<KindWord, 6> kKindWords{{{"bigint", ArgumentKind::whole},
                                              {"integer", ArgumentKind::whole},
                                              {"double precision", ArgumentKind::real},
                                              {"timestamptz", ArgumentKind::time},
                                              {"text", ArgumentKind::text},
                                              {"file", ArgumentKind::file}}};

std::optional<QueryArgument> parse_argument(const std::string& line) {
  static const std::regex kShape(
      R"(-- :([a-z_]+) ([a-z ]*[a-z])(?: \[(-?[0-9.]+), (-?[0-9.]+)\])?(?: = ([^;]+))?; (.+))");
  std::smatch parts;
  if (!std::regex_match(line, parts, kShape)) return std::nullopt;
  const auto* const kind =
      std::find_if(kKindWords.begin(), kKindWords.end(),
                   [&](const KindWord& k) { return k.word == parts[2].str(); });
  if (kind == kKindWords.end()) return std::nullopt;
  QueryArgument argument;
  argument.name = parts[1];
  argument.kind = kind->kind;
  if (parts[3].matched) {
    argument.low = std::stod(parts[3]);
    argument.high = std::stod(parts[4]);
  }
  if (parts[5].matched) argument.fallback = parts[5];
  argument.meaning = parts[6];
  return argument;
}

/// Every :'name' becomes the number of its argument; a name that is none is left, and found.
std::string numbered(std::string text, const std::vector<QueryArgument>& arguments) {
  for (std::size_t i = 0; i < arguments.size(); ++i) {
    const std::string name = fmt::format(":'{}'", arguments[i].name);
    for (std::size_t at = 0; (at = text.find(name, at)) != std::string::npos;) {
      text.replace(at, name.size(), fmt::format("${}", i + 1));
    }
  }
  return text;
}

std::optional<double> number(const std::string& text) {
  double value = 0.0;
  const auto read = std::from_chars(text.data(), text.data() + text.size(), value);
  if (read.ec != std::errc{} || read.ptr != text.data() + text.size()) return std::nullopt;
  if (!std::isfinite(value)) return std::nullopt;
  return value;
}

bool is_whole(const std::string& text) {
  std::int64_t value = 0;
  const auto read = std::from_chars(text.data(), text.data() + text.size(), value);
  return read.ec == std::errc{} && read.ptr == text.data() + text.size();
}

std::string rule_of_number(const QueryArgument& a) {
  const std::string kind = a.kind == ArgumentKind::whole ? "a whole number" : "a number";
  return a.low ? fmt::format("{} from {} to {}", kind, *a.low, *a.high) : kind;
}

/// What the value breaks; empty when it breaks nothing.
std::string broken_rule(const QueryArgument& a, const std::string& value) {
  if (a.kind == ArgumentKind::whole || a.kind == ArgumentKind::real) {
    const auto read = number(value);
    const bool fits = read && (a.kind == ArgumentKind::real || is_whole(value)) &&
                      (!a.low || (*read >= *a.low && *read <= *a.high));
    return fits ? "" : rule_of_number(a);
  }
  if (a.kind == ArgumentKind::time && value != "now" && !parse_rfc3339(value).ok()) {
    return "a time such as 2031-05-04T10:15:00Z, or now";
  }
  return "";
}

Result<std::string> contents(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  if (file) text << file.rdbuf();
  // A folder opens and gives nothing.
  if (!file || text.str().empty()) return Error{fmt::format("a file with text in it")};
  return valid_utf8(text.str());
}

Result<std::string> value_of(const NamedQuery& query, const QueryArgument& a,
                             const std::map<std::string, std::string>& given) {
  const auto found = given.find(a.name);
  if (found == given.end() && !a.fallback) {
    return Error{fmt::format("query {}: --{} is missing: {}", query.name, a.name, a.meaning)};
  }
  const std::string value = found == given.end() ? *a.fallback : found->second;
  std::string rule = broken_rule(a, value);
  if (rule.empty() && a.kind == ArgumentKind::file) {
    auto text = contents(value);
    if (text.ok()) return text;
    rule = text.error();
  }
  if (rule.empty()) return value;
  return Error{fmt::format("query {}: --{} {}: must be {} ({})", query.name, a.name,
                           one_line(value, 200), rule, a.meaning)};
}

}  // namespace

Result<NamedQuery> parse_named_query(const QueryFile& file) {
  NamedQuery query;
  query.name = file.name;
  std::istringstream lines(file.text);
  std::size_t number = 0;
  for (std::string line; std::getline(lines, line);) {
    ++number;
    if (!line.starts_with("--") || !query.select.empty()) {
      query.select += line + "\n";
    } else if (!line.starts_with("-- :")) {
      query.about +=
          (query.about.empty() ? "" : " ") + line.substr(std::min<std::size_t>(3, line.size()));
    } else if (auto argument = parse_argument(line)) {
      query.arguments.push_back(std::move(*argument));
    } else {
      return Error{
          fmt::format("sql/queries/{}.sql:{}: is no argument: write -- :name type [low, high] = "
                      "default; meaning",
                      file.name, number)};
    }
  }
  query.select = numbered(query.select, query.arguments);
  if (const auto at = query.select.find(":'"); at != std::string::npos) {
    return Error{fmt::format("sql/queries/{}.sql: {} has no line in the header", file.name,
                             query.select.substr(at, query.select.find('\'', at + 2) - at + 1))};
  }
  return query;
}

Result<std::vector<std::string>> query_values(const NamedQuery& query,
                                              const std::map<std::string, std::string>& given) {
  std::vector<std::string> values;
  for (const QueryArgument& argument : query.arguments) {
    auto value = value_of(query, argument, given);
    if (!value.ok()) return Error{value.error()};
    values.push_back(std::move(*value));
  }
  return values;
}

}  // namespace fixwright::tools
