#include "server/base/metrics.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cassert>
#include <cmath>

#include "server/base/text.hpp"

namespace fixwright {

namespace {

/// metricname of OpenMetrics 1.0.0; a label's name has no colon.
[[maybe_unused]] bool is_name(std::string_view name, bool colon_allowed) {
  const auto letter = [&](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' ||
           (c == ':' && colon_allowed);
  };
  const auto digit = [](char c) { return c >= '0' && c <= '9'; };
  return !name.empty() && letter(name.front()) &&
         std::all_of(name.begin(), name.end(), [&](char c) { return letter(c) || digit(c); });
}

/// escaped-string of OpenMetrics 1.0.0. A reader refuses the whole text for one bad byte, and
/// label values may come from a peer.
std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : valid_utf8(text)) {
    if (c == '\\' || c == '"') out += '\\';
    if (c == '\n') {
      out += "\\n";
    } else {
      out += c;
    }
  }
  return out;
}

/// {name="value",…}, by name: the order in which a caller lists them says nothing.
std::string rendered(Labels labels) {
  if (labels.empty()) return "";
  std::sort(labels.begin(), labels.end());
  std::string text;
  for (const auto& [name, value] : labels) {
    assert(is_name(name, false));
    text += fmt::format("{}{}=\"{}\"", text.empty() ? "" : ",", name, escaped(value));
  }
  return "{" + text + "}";
}

std::string number(double v) {
  if (std::isnan(v)) return "NaN";
  if (std::isinf(v)) return v > 0.0 ? "+Inf" : "-Inf";
  return fmt::format("{}", v);
}

std::string header(std::string_view name, std::string_view type, std::string_view help) {
  return fmt::format("# TYPE {0} {1}\n# HELP {0} {2}\n", name, type, escaped(help));
}

/// The value of a key, made by the default constructor when it is new.
template <typename T>
T& find_or_make(std::map<std::string, std::unique_ptr<T>>& of, const std::string& labels) {
  std::unique_ptr<T>& slot = of[labels];
  if (!slot) slot = std::make_unique<T>();
  return *slot;
}

}  // namespace

Metrics::Family& Metrics::family(std::string_view name, std::string_view help) {
  assert(is_name(name, true) && !name.ends_with("_total"));
  const auto found = families_.find(name);
  if (found != families_.end()) return found->second;
  return families_.emplace(std::string{name}, Family{std::string{help}, {}, {}}).first->second;
}

Counter& Metrics::counter(std::string_view name, std::string_view help, const Labels& labels) {
  const std::lock_guard lock{mutex_};
  Family& of_name = family(name, help);
  assert(of_name.gauges.empty());
  return find_or_make(of_name.counters, rendered(labels));
}

Gauge& Metrics::gauge(std::string_view name, std::string_view help, const Labels& labels) {
  const std::lock_guard lock{mutex_};
  Family& of_name = family(name, help);
  assert(of_name.counters.empty());
  return find_or_make(of_name.gauges, rendered(labels));
}

std::string Metrics::openmetrics() const {
  const std::lock_guard lock{mutex_};
  std::string text;
  for (const auto& [name, family] : families_) {
    text += header(name, family.gauges.empty() ? "counter" : "gauge", family.help);
    for (const auto& [labels, counter] : family.counters) {
      text += fmt::format("{}_total{} {}\n", name, labels, counter->value());
    }
    for (const auto& [labels, gauge] : family.gauges) {
      text += fmt::format("{}{} {}\n", name, labels, number(gauge->value()));
    }
  }
  return text + "# EOF\n";
}

}  // namespace fixwright
