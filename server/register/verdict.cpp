#include "server/register/verdict.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "server/register/rules.hpp"

namespace fixwright::register_ {

namespace {

using V = RegisterVerdict;

double licensed(const RegisterPosterior& p) { return p.right_row + p.wrong_row; }

/// That it is at no entry's place.
double elsewhere(const RegisterPosterior& p) {
  return 1.0 - p.right_row - p.off_frequency - p.out_of_validity;
}

/// Whether the numbers bear a verdict.
bool bears(V verdict, const RegisterPosterior& p, double threshold) {
  switch (verdict) {
    case V::registered:
      return licensed(p) >= threshold && p.right_row >= p.wrong_row;
    case V::position_disagrees:
      return p.on_channel.licence != nullptr && elsewhere(p) >= threshold;
    case V::unregistered:
    case V::off_frequency:
    case V::out_of_validity:
      return probability_of(verdict, p) >= threshold;
    case V::undecided:
      break;
  }
  return false;
}

/// Which verdict the numbers give by themselves.
V fresh_verdict(const RegisterPosterior& p, double threshold) {
  for (const V verdict : {V::unregistered, V::registered, V::off_frequency, V::out_of_validity,
                          V::position_disagrees}) {
    if (bears(verdict, p, threshold)) return verdict;
  }
  return V::undecided;
}

std::string at_entry(const Candidate& entry, const Emitter& emitter) {
  return fmt::format("entry {}, {:.0f} m away, centre {:+.1f} kHz off", entry.licence->id,
                     entry.distance_m,
                     (emitter.frequency_hz - entry.licence->frequency_hz) / 1000.0);
}

std::string validity(const Licence& licence, TimePoint heard) {
  if (licence.valid_from && heard < *licence.valid_from) {
    return "which begins at " + format_rfc3339(*licence.valid_from);
  }
  return licence.valid_until ? "which ended at " + format_rfc3339(*licence.valid_until) : "";
}

std::string finding(V verdict, const Candidate& entry, const Emitter& emitter) {
  if (entry.licence == nullptr) return "no entry on or beside this frequency";
  const std::string at = at_entry(entry, emitter);
  switch (verdict) {
    case V::registered:
      return "as " + at;
    case V::unregistered:
      return "not found; likeliest " + at;
    case V::position_disagrees:
      return fmt::format("on the frequency of entry {}, but {:.1f} km from its place",
                         entry.licence->id, entry.distance_m / 1000.0);
    case V::off_frequency:
      return fmt::format("at the place of {}, outside its band of {:.1f} kHz", at,
                         entry.licence->bandwidth_hz / 1000.0);
    case V::out_of_validity:
      return fmt::format("as {}, {}", at, validity(*entry.licence, emitter.last_heard));
    case V::undecided:
      break;
  }
  return "undecided; likeliest " + at;
}

/// How far apart an emitter and this entry must be to be told apart, m.
double distinguishable_m(const EnCovariance& c, const Licence* licence) {
  const double half_sum = 0.5 * (c.ee_m2 + c.nn_m2);
  const double largest = half_sum + std::hypot(0.5 * (c.ee_m2 - c.nn_m2), c.en_m2);
  const double row_m = licence != nullptr ? licence->position_sigma_m : 0.0;
  return kDistinguishableSigmas * std::sqrt(largest + row_m * row_m);
}

}  // namespace

/// "The position disagrees" is the weaker word: it yields to an older verdict that still holds.
V verdict_of(const RegisterPosterior& p, V previous, const RegisterRules& rules) {
  const V fresh = fresh_verdict(p, rules.take_at);
  if (fresh != V::undecided && fresh != V::position_disagrees) return fresh;
  return bears(previous, p, rules.keep_above) ? previous : fresh;
}

double probability_of(V verdict, const RegisterPosterior& p) {
  switch (verdict) {
    case V::registered:
      return licensed(p);
    case V::unregistered:
      return p.unknown;
    case V::position_disagrees:
      return elsewhere(p);
    case V::off_frequency:
      return p.off_frequency;
    case V::out_of_validity:
      return p.out_of_validity;
    case V::undecided:
      break;
  }
  return std::max({licensed(p), p.unknown, p.off_frequency, p.out_of_validity});
}

Candidate entry_of(V verdict, const RegisterPosterior& p) {
  if (verdict == V::off_frequency) return p.beside;
  if (verdict == V::out_of_validity) return p.not_in_force;
  if (p.on_channel.licence != nullptr) return p.on_channel;
  return p.out_of_validity >= p.off_frequency && p.not_in_force.licence != nullptr ? p.not_in_force
                                                                                   : p.beside;
}

std::string evidence_of(V verdict, const RegisterPosterior& p, const Emitter& emitter) {
  const Candidate entry = entry_of(verdict, p);
  return fmt::format(
      "{}; probability of the entry as written {:.3f}, of its place being wrong {:.3f}, of a wrong "
      "frequency {:.3f}, of an entry not in force {:.3f}, of no entry {:.3f}; {:.1f} km can be "
      "told "
      "apart",
      finding(verdict, entry, emitter), p.right_row, p.wrong_row, p.off_frequency,
      p.out_of_validity, p.unknown,
      distinguishable_m(emitter.fix.covariance, entry.licence) / 1000.0);
}

}  // namespace fixwright::register_
