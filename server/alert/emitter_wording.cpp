#include "server/alert/emitter_wording.hpp"

#include <fmt/core.h>

#include "server/alert/event_book.hpp"
#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/geodesic.hpp"

namespace fixwright::alert {

namespace {

/// Separation that shows in nine cases of ten at one false alarm in a hundred, in sigmas; the
/// same figure as register_::kDistinguishableSigmas.
constexpr double kDistinguishableSigmas = 4.2;

std::string place(const Emitter& e) {
  const CrossFix& f = e.fix;
  return fmt::format("emitter {} on {:.4f} MHz at {:.5f} {:.5f} ({:g} % ellipse {:.0f} x {:.0f} m)",
                     emitter_name(e.key), e.frequency_hz / 1e6, f.position.latitude_deg,
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

std::string verdict_would_change(const Emitter& emitter, const RegisterMatch& match) {
  const double km = distinguishable_m(emitter.fix.ellipse) / 1000.0;
  switch (match.verdict) {
    case RegisterVerdict::unregistered:
      return fmt::format("an entry of the register on its frequency within {:.1f} km of this place",
                         km);
    case RegisterVerdict::position_disagrees:
      return fmt::format("fixes within {:.1f} km of {}, or an entry at this place", km,
                         entry_name(match));
    case RegisterVerdict::off_frequency:
      return "an entry of that site for this frequency";
    case RegisterVerdict::out_of_validity:
      return fmt::format("a newer import of the register in which {} is in force",
                         entry_name(match));
    default:
      return "nothing that is known";
  }
}

std::string moved_message(const EmitterEvent& event) {
  return fmt::format("emitter {} moved: {}", emitter_name(event.emitter), event.evidence);
}

std::string returned_message(const EmitterEvent& event, const Emitter* emitter) {
  const std::string who =
      emitter != nullptr ? place(*emitter) : "emitter " + emitter_name(event.emitter);
  return fmt::format("{}: heard again, and somebody watches it", who);
}

std::string activity_message(const Emitter& emitter, const WatchedArea& area) {
  const double km = 1e-3 * geodesy::distance_m(area.centre, emitter.fix.position);
  return fmt::format("{}: heard in the watched area {}, {:.1f} km from its centre", place(emitter),
                     area.name, km);
}

std::string missing_message(const Reference& reference, TimePoint last_heard) {
  return fmt::format(
      "reference transmitter {}: not heard since {} (missing_after_s = {:g}); the stations may be "
      "deaf, or it is off the air",
      reference.licence, format_rfc3339(last_heard), seconds(reference.missing_after));
}

}  // namespace fixwright::alert
