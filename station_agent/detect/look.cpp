#include "station_agent/detect/look.hpp"

#include <fmt/format.h>

namespace fixwright::agent::detect {
namespace {

std::string over(const Notice& n, const std::string& at) {
  return fmt::format("element {}: no longer {} at {}", n.element + 1, word(n.kind), at);
}

}  // namespace

std::string_view word(NoticeKind kind) {
  switch (kind) {
    case NoticeKind::stuck:
      return "stuck";
    case NoticeKind::dead:
      return "dead";
    case NoticeKind::deaf:
      return "deaf";
    case NoticeKind::overload:
      return "overload";
    case NoticeKind::gap:
      return "gap";
    case NoticeKind::time_step:
      return "time_step";
  }
  return "";
}

std::string describe(const Notice& n) {
  const std::string at = format_rfc3339(n.at);
  if (!n.began) {
    return over(n, at);
  }
  switch (n.kind) {
    case NoticeKind::stuck:
      return fmt::format("element {}: stuck at {}: {} samples of one value; restart the receiver",
                         n.element + 1, at, n.value);
    case NoticeKind::dead:
      return fmt::format(
          "element {}: dead at {}: its noise is {:.0f} dB below the others'; look at "
          "its receiver",
          n.element + 1, at, n.value);
    case NoticeKind::deaf:
      return fmt::format(
          "element {}: deaf at {}: hears a signal {:.0f} dB weaker than the others; "
          "look at antenna and cable",
          n.element + 1, at, n.value);
    case NoticeKind::overload:
      return fmt::format(
          "element {}: overload at {}: {:.2g} % of its samples at full scale; lower "
          "the gain",
          n.element + 1, at, 100.0 * n.value);
    case NoticeKind::gap:
      return fmt::format("gap at {}: {} frames lost; lighten the load or lower the rate", at,
                         n.value);
    case NoticeKind::time_step:
      return fmt::format(
          "time_step at {}: the samples' time is {:+.6f} s from where their number "
          "puts it; look at the clock",
          at, n.value);
  }
  return "";
}

}  // namespace fixwright::agent::detect
