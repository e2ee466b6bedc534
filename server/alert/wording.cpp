#include "server/alert/wording.hpp"

#include <fmt/core.h>

#include "server/geodesy/ellipse.hpp"

namespace fixwright::alert {

namespace {

/// Separation that shows in nine cases of ten at one false alarm in a hundred, in sigmas; the
/// same figure as register_::kDistinguishableSigmas.
constexpr double kDistinguishableSigmas = 4.2;

std::string place(const Emitter& e) {
  const CrossFix& f = e.fix;
  return fmt::format("emitter {} on {:.4f} MHz at {:.5f} {:.5f} ({:g} % ellipse {:.0f} x {:.0f} m)",
                     emitter_subject(e.key), e.frequency_hz / 1e6, f.position.latitude_deg,
                     f.position.longitude_deg, 100.0 * f.ellipse.probability,
                     f.ellipse.semi_major_m, f.ellipse.semi_minor_m);
}

/// How near an entry may be and still not be told apart, by the fix's own accuracy.
double distinguishable_m(const ErrorEllipse& e) {
  return kDistinguishableSigmas * e.semi_major_m / geodesy::ellipse_factor(e.probability);
}

std::string nearest_entry(const RegisterMatch& match) {
  if (!match.licence || !match.distance_m) return "no entry on its frequency";
  return fmt::format("likeliest entry on its frequency {}, {:.1f} km away", *match.licence,
                     *match.distance_m / 1000.0);
}

std::string entry_name(const RegisterMatch& match) { return match.licence.value_or("(unnamed)"); }

std::string entry_at(const RegisterMatch& match) {
  return fmt::format("entry {}, {:.1f} km away", entry_name(match),
                     match.distance_m.value_or(0.0) / 1000.0);
}

/// What the register says, with its probability and what else it may be.
std::string finding(const RegisterMatch& match) {
  switch (match.verdict) {
    case RegisterVerdict::unregistered:
      return fmt::format("not found in the register, probability {:.3f}; {}", match.posterior,
                         nearest_entry(match));
    case RegisterVerdict::off_frequency:
      return fmt::format(
          "at the place of {}, but {:+.1f} kHz from its centre, probability {:.3f}; this may be "
          "another transmitter of the site",
          entry_at(match), match.frequency_offset_hz.value_or(0.0) / 1000.0, match.posterior);
    case RegisterVerdict::out_of_validity:
      return fmt::format(
          "as {}, but that entry is not in force, probability {:.3f}; it may have been renewed",
          entry_at(match), match.posterior);
    default:
      return fmt::format(
          "on a registered frequency, but {:.1f} km from its entry {}, probability "
          "{:.3f}; the entry may be wrong, or this is another transmitter",
          match.distance_m.value_or(0.0) / 1000.0, entry_name(match), match.posterior);
  }
}

}  // namespace

std::string emitter_subject(EmitterKey key) { return fmt::format("{}/{}", key.channel, key.id); }

std::string verdict_message(const Emitter& emitter, const RegisterMatch& match) {
  return fmt::format("{}: {}; at this accuracy {:.1f} km can be told apart", place(emitter),
                     finding(match), distinguishable_m(emitter.fix.ellipse) / 1000.0);
}

std::string verdict_remark(const RegisterMatch& match) {
  switch (match.verdict) {
    case RegisterVerdict::registered:
      return fmt::format("found in the register as {}", entry_name(match));
    case RegisterVerdict::unregistered:
      return "not found in the register";
    case RegisterVerdict::position_disagrees:
      return fmt::format("on a registered frequency, {:.1f} km from its entry {}",
                         match.distance_m.value_or(0.0) / 1000.0, entry_name(match));
    case RegisterVerdict::off_frequency:
      return fmt::format("at the place of {}, beside its band", entry_at(match));
    case RegisterVerdict::out_of_validity:
      return fmt::format("as {}, but that entry is not in force", entry_at(match));
    case RegisterVerdict::undecided:
      break;
  }
  return "the register leaves it undecided";
}

std::string moved_message(const EmitterEvent& event) {
  return fmt::format("emitter {} moved: {}", emitter_subject(event.emitter), event.evidence);
}

std::string silent_message(const std::string& station, TimePoint last_heartbeat,
                           const AlertRules& rules) {
  return fmt::format(
      "station {}: no heartbeat since {} (alert.silent_after_s = {:g}); fixes that "
      "need it are worse or missing",
      station, format_rfc3339(last_heartbeat), seconds(rules.silent_after));
}

std::string clock_message(const std::string& station, const Heartbeat& heartbeat,
                          const AlertRules& rules) {
  if (heartbeat.clock_state == ClockState::unsynchronised) {
    return fmt::format(
        "station {}: its clock is unsynchronised; its bearings are kept but start "
        "no moving track",
        station);
  }
  return fmt::format("station {}: its clock may be {:.3f} s off (alert.max_clock_error_s = {:g})",
                     station, seconds(heartbeat.clock_error), seconds(rules.max_clock_error));
}

}  // namespace fixwright::alert
