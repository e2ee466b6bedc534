#include "server/report/report_words.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "server/base/text.hpp"
#include "server/report/station_summary.hpp"

namespace fixwright::report {

namespace {

std::string key_text(EmitterKey key) { return fmt::format("{}/{}", key.channel, key.id); }

/// "A", "A and B", "A, B and C"
std::string listed(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    text += i == 0 ? "" : i + 1 == names.size() ? " and " : ", ";
    text += names[i];
  }
  return text;
}

std::string counted(std::size_t n, const char* one, const char* more) {
  return fmt::format("{} {}", n, n == 1 ? one : more);
}

/// "19 times in 20" for 95 %.
std::string odds(double probability) {
  if (std::abs(probability - 0.95) < 1e-9) return "19 times in 20";
  return fmt::format("{:.0f} times in 100", 100.0 * probability);
}

std::string degrees(double value, char positive, char negative) {
  return fmt::format("{:.5f}° {}", std::abs(value), value < 0.0 ? negative : positive);
}

std::string agreement(const EmitterEvidence& e) {
  std::vector<std::string> agree, aside;
  for (const StationSummary& s : summarise(e.bearings)) {
    if (s.used > 0) agree.push_back(s.name);
    if (s.set_aside > 0) {
      aside.push_back(fmt::format("{} of {}", s.set_aside, s.name));
    }
  }
  if (agree.empty()) return "No bearing of this stretch was used.";
  std::string text = agree.size() == 1 ? agree.front() + " heard it."
                                       : "Bearings of " + listed(agree) + " agree on the place.";
  if (!aside.empty()) {
    text += " Set aside, as reflections or another transmitter's: " + listed(aside) + ".";
  }
  return text;
}

std::string grade_words(const std::string& grade) {
  if (grade == "checked") return "Three stations or more agree, so the place was checked.";
  if (grade == "odd") {
    return "The bearings disagree more than their stated errors allow: something is not as it "
           "seems, a reflection, a second transmitter, or a station that points off.";
  }
  return "Only two stations contributed, so nobody could check the place: one wrong bearing moves "
         "it, and nothing would show that.";
}

}  // namespace

std::string name_of(const EmitterEvidence& e) {
  if (e.name.empty())
    return "emitter on " + megahertz(e.frequency_hz) + " (" + key_text(e.key) + ")";
  return one_line(e.name) + " (" + key_text(e.key) + ")";
}

std::string time_text(TimePoint t) {
  std::string text = format_rfc3339(t, 0).substr(0, 19);
  text[10] = ' ';
  return text;
}

std::string megahertz(double frequency_hz) { return fmt::format("{:.5f} MHz", frequency_hz / 1e6); }

std::string kilometres(double metres) {
  return metres < 1000.0 ? fmt::format("{:.0f} m", metres)
                         : fmt::format("{:.1f} km", metres / 1000.0);
}

std::string caution_words() {
  return "This is evidence of a place, never proof of who transmits. It accuses nobody. Give it to "
         "the authority; don't publish it, don't confront anybody, don't enter anybody's ground.";
}

std::vector<std::string> place_words(const EmitterEvidence& e) {
  const std::string what =
      fmt::format("A {} transmitter on {} was heard from {} to {} UTC by {}.",
                  e.motion == "moving" ? "moving" : "fixed", megahertz(e.frequency_hz),
                  time_text(e.first_heard), time_text(e.last_heard), listed(e.heard_by));
  if (e.region.empty()) return {what, "Its place is not known."};
  return {what,
          fmt::format("Its most likely place is {}, {} (WGS84). {}, an outline made this way holds "
                      "the transmitter; here it reaches {} from the middle at most.",
                      degrees(e.position.latitude_deg, 'N', 'S'),
                      degrees(e.position.longitude_deg, 'E', 'W'), odds(e.probability),
                      kilometres(e.semi_major_m))};
}

std::vector<std::string> summary_words(const EmitterEvidence& e) {
  auto words = place_words(e);
  if (!e.region.empty()) words.push_back(agreement(e));
  return words;
}

std::string map_words(const EmitterEvidence& e) {
  return fmt::format(
      "Above the whole network, below the outline alone; north is up. Squares are stations; dotted "
      "lines are the mean azimuth of each, as sent; the "
      "dot is the most likely place; the outline holds the transmitter {}.",
      odds(e.probability));
}

std::vector<std::string> method_words(const EmitterEvidence& e) {
  const std::size_t all = e.bearings.size() + e.bearings_left_out;
  std::vector<std::string> words{fmt::format(
      "Stations with direction finders measured azimuths of the same transmission at "
      "the same time. {} in {} of this stretch were joined by least "
      "squares on the WGS84 ellipsoid, weighted by the error that each station states and "
      "by the error of its site; bearings that could not be the same transmitter's were set "
      "aside. All of {} bearings, ever, went into the place.",
      counted(all, "bearing", "bearings"), counted(e.fixes, "cross-fix", "cross-fixes"),
      e.bearings_ever)};
  if (e.region.empty()) return words;
  words.push_back(
      fmt::format("The error ellipse at {:.0f} % has semi-axes of {} and {}, the longer one "
                  "towards {:.0f}° from true north. {}",
                  100.0 * e.probability, kilometres(e.semi_major_m), kilometres(e.semi_minor_m),
                  e.orientation_deg, grade_words(e.grade)));
  return words;
}

std::vector<std::string> register_words(const EmitterEvidence& e) {
  if (e.verdict.empty()) return {"It was not compared with the register."};
  const std::string verdict = e.verdict == "unregistered" ? "not found in the register" : e.verdict;
  std::string readable = verdict;
  std::replace(readable.begin(), readable.end(), '_', ' ');
  return {fmt::format("Verdict: {}, with a probability of {:.0f} %. {}", readable,
                      100.0 * e.posterior, one_line(e.verdict_evidence, 500)),
          "A register may be late or wrong. Not found is not unlawful."};
}

std::vector<std::string> limit_words(const EmitterEvidence& e) {
  std::vector<std::string> limits{
      "An outline at this probability misses by design once in so many times. Reflections can "
      "mislead every station the same way, and nothing in the bearings would show it.",
      "What was heard says nothing of who transmitted, nor of what was said.",
      "Lawful reception, and what may be told of it, is a matter of local law."};
  if (!e.region.empty() && e.grade != "checked") limits.push_back(grade_words(e.grade));
  return limits;
}

std::vector<std::string> check_words(std::span<const EmitterEvidence> emitters) {
  std::vector<std::string> words{
      "Each bearing has a digest, the SHA-256 of all that its station sent, made by the function "
      "bearing_digest of the database. This file carries all of them in full. The command "
      "\"fixwright report --verify FILE --database …\" makes them again from the database and says "
      "which bearing was changed or is gone."};
  std::size_t left_out = 0;
  for (const EmitterEvidence& e : emitters) left_out += e.bearings_left_out;
  if (left_out > 0) {
    words.push_back(fmt::format("{} older bearings of this stretch are left out here.", left_out));
  }
  return words;
}

}  // namespace fixwright::report
