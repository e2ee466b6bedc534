#pragma once
/// What `fixwright-station check` finds, and how bad it is.

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "server/base/time.hpp"

namespace fixwright::agent::check {

/// By rising weight. The word on the screen and in JSON is the enumerator's own name.
enum class Severity {
  not_applicable,  // this source, or this moment, has nothing to look at
  ok,
  advice,   // works; could be better, or could not be seen
  warning,  // bearings suffer, or soon will
  fault,    // bearings are wrong, or do not arrive
};
std::string_view word(Severity severity);

/// One number behind a finding. The name carries the unit.
using Figure = std::pair<std::string, double>;

struct Finding {
  std::string area{};  // one word: spacing, cable, order, ...
  Severity severity = Severity::ok;
  std::string what{};   // one line
  std::string to_do{};  // one line; empty where there is nothing to do
  std::vector<Figure> figures{};
};

struct Report {
  std::string station;
  std::string source;  // lines, simulated, iq
  TimePoint at{};
  std::vector<Finding> findings;

  [[nodiscard]] Severity severity() const;
};

/// 0 ok or advice, 1 warning, 3 fault. 2 is a configuration that cannot be used at all, as of
/// every other way to start the agent.
int exit_code(Severity severity);

}  // namespace fixwright::agent::check
