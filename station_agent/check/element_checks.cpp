#include "station_agent/check/element_checks.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace fixwright::agent::check {

namespace {

double median_of(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

const detect::Notice* first_of(const Survey& survey, detect::NoticeKind kind) {
  const auto found = std::find_if(survey.notices.begin(), survey.notices.end(),
                                  [kind](const auto& n) { return n.kind == kind; });
  return found == survey.notices.end() ? nullptr : &*found;
}

/// The first element that began to be broken, in the words of the notice.
const detect::Notice* broken_element(const Survey& survey) {
  for (const detect::Notice& n : survey.notices) {
    const bool broken = n.kind == detect::NoticeKind::stuck || n.kind == detect::NoticeKind::dead ||
                        n.kind == detect::NoticeKind::deaf;
    if (broken && n.began) return &n;
  }
  return nullptr;
}

std::string all_broken(const Survey& survey) {
  std::string text;
  for (const detect::Notice& n : survey.notices) {
    const bool is_element = n.kind == detect::NoticeKind::stuck ||
                            n.kind == detect::NoticeKind::dead ||
                            n.kind == detect::NoticeKind::deaf;
    if (!is_element || !n.began) continue;
    text += fmt::format("{}element {} is {}", text.empty() ? "" : ", ", n.element + 1,
                        detect::word(n.kind));
  }
  return text;
}

std::string_view remedy(detect::NoticeKind kind) {
  switch (kind) {
    case detect::NoticeKind::stuck:
      return "start that receiver anew; if it stays so, its converter is broken";
    case detect::NoticeKind::deaf:
      return "its receiver works and hears nothing: look at its antenna, plugs and cable";
    default:
      return "look whether its receiver runs, has its gain set and its antenna plugged in";
  }
}

/// Every element's noise, for the screen: "-60.1 -60.3".
std::string list_of(const std::vector<double>& noise_dbfs) {
  std::string text;
  for (const double n : noise_dbfs) text += fmt::format("{}{:.1f}", text.empty() ? "" : " ", n);
  return text;
}

}  // namespace

Finding check_samples(const Survey& survey) {
  Finding f{.area = "samples",
            .what = fmt::format("{:.1f} s of {} elements at {:.3f} MS/s round {:.6f} MHz",
                                survey.lasted_s(), survey.format.elements,
                                survey.format.rate_hz / 1e6, survey.format.centre_hz / 1e6),
            .figures = {{"lasted_s", survey.lasted_s()},
                        {"lost_frames", static_cast<double>(survey.lost_frames)}}};
  if (!survey.failure.empty() || survey.frames == 0) {
    f.severity = Severity::fault;
    f.what = survey.failure.empty() ? "none came: the source ended before its first sample"
                                    : survey.failure;
    f.to_do = "look whether the receiver runs and source.iq leads to it";
    return f;
  }
  if (const detect::Notice* step = first_of(survey, detect::NoticeKind::time_step)) {
    f.severity = Severity::warning;
    f.what = fmt::format("their time jumped by {:+.3f} s: the clock was set, or samples were lost",
                         step->value);
    f.to_do = "let the time service slew the clock while the agent runs, not set it";
    return f;
  }
  if (survey.lost_frames == 0) {
    f.what += ", none lost";
    return f;
  }
  f.severity = Severity::warning;
  f.what += fmt::format("; {} of each element lost", survey.lost_frames);
  f.to_do = "use another USB port or bus, a lower rate, or a faster machine";
  return f;
}

Finding check_noise(const Survey& survey) {
  Finding f{.area = "noise"};
  for (std::size_t e = 0; e < survey.noise_dbfs.size(); ++e) {
    f.figures.emplace_back(fmt::format("element_{}_noise_dbfs", e + 1), survey.noise_dbfs[e]);
  }
  if (const detect::Notice* broken = broken_element(survey)) {
    f.severity = Severity::fault;
    f.what = all_broken(survey) + ": no bearings";
    f.to_do = remedy(broken->kind);
    return f;
  }
  if (survey.noise_dbfs.empty()) {
    f.severity = Severity::advice;
    f.what = "too few samples to measure it";
    f.to_do = "check for longer: --seconds";
    return f;
  }
  const double median = median_of(survey.noise_dbfs);
  std::size_t odd = 0;
  for (std::size_t e = 0; e < survey.noise_dbfs.size(); ++e) {
    const bool further =
        std::abs(survey.noise_dbfs[e] - median) > std::abs(survey.noise_dbfs[odd] - median);
    if (further) odd = e;
  }
  const double off_db = survey.noise_dbfs[odd] - median;
  f.what = fmt::format("{} dBFS by element", list_of(survey.noise_dbfs));
  if (std::abs(off_db) <= kNoiseAdvice_db) return f;
  f.severity = std::abs(off_db) > kNoiseWarning_db ? Severity::warning : Severity::advice;
  f.what += fmt::format("; element {} is {:+.1f} dB from the others", odd + 1, off_db);
  f.to_do = off_db > 0.0 ? "look for a source of noise near that element, and at its gain"
                         : "look at that element's gain, plugs, cable and amplifier";
  return f;
}

Finding check_overload(const Survey& survey, double overload_share) {
  Finding f{.area = "overload", .what = "no element's samples reach the end of the scale"};
  if (survey.frames == 0) return f;
  double worst = 0.0;
  std::string list;
  for (std::size_t e = 0; e < survey.clipped.size(); ++e) {
    const double share =
        static_cast<double>(survey.clipped[e]) / static_cast<double>(survey.frames);
    f.figures.emplace_back(fmt::format("element_{}_clipped_share", e + 1), share);
    worst = std::max(worst, share);
    if (share > overload_share) {
      list += fmt::format("{}{} ({:.2g} %)", list.empty() ? "" : ", ", e + 1, 100.0 * share);
    }
  }
  if (worst > 0.0) f.what = fmt::format("at most {:.2g} % of an element's samples", 100.0 * worst);
  if (list.empty()) return f;
  f.severity = Severity::warning;
  f.what = fmt::format("samples at the end of the scale in element {}", list);
  f.to_do = "lower the gain, or put a filter before the receiver";
  return f;
}

}  // namespace fixwright::agent::check
