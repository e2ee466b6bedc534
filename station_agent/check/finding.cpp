#include "station_agent/check/finding.hpp"

#include <algorithm>

namespace fixwright::agent::check {

std::string_view word(Severity severity) {
  switch (severity) {
    case Severity::not_applicable:
      return "not_applicable";
    case Severity::ok:
      return "ok";
    case Severity::advice:
      return "advice";
    case Severity::warning:
      return "warning";
    case Severity::fault:
      return "fault";
  }
  return "fault";
}

Severity Report::severity() const {
  Severity worst = Severity::ok;
  for (const Finding& f : findings) worst = std::max(worst, f.severity);
  return worst;
}

int exit_code(Severity severity) {
  if (severity == Severity::fault) return 3;
  return severity == Severity::warning ? 1 : 0;
}

}  // namespace fixwright::agent::check
