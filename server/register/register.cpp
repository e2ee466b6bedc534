#include "server/register/register.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

#include "server/geodesy/local_frame.hpp"

namespace fixwright::register_ {

namespace {

double lower_edge_hz(const Licence& l) { return l.frequency_hz - l.bandwidth_hz / 2.0; }
double upper_edge_hz(const Licence& l) { return l.frequency_hz + l.bandwidth_hz / 2.0; }

bool in_force(const Licence& l, TimePoint at) {
  return (!l.valid_from || *l.valid_from <= at) && (!l.valid_until || at < *l.valid_until);
}

EnCovariance widened(const EnCovariance& c, double sigma_m) {
  return {c.ee_m2 + sigma_m * sigma_m, c.en_m2, c.nn_m2 + sigma_m * sigma_m};
}

/// Log of the normal density at x, per km^2: logs, because a licence 50 sigmas away must still
/// be comparable with one 60 sigmas away.
double log_density_per_km2(geodesy::EnOffset x, const EnCovariance& c) {
  const double determinant_m4 = c.ee_m2 * c.nn_m2 - c.en_m2 * c.en_m2;
  const double norm_km2 = 2.0 * std::numbers::pi * std::sqrt(determinant_m4) * 1e-6;
  return -0.5 * geodesy::mahalanobis_squared(c, x) - std::log(norm_km2);
}

/// How a licence stands to an emitter's frequency and time.
enum class Standing { in_force, beside, not_in_force, none };

Standing standing_of(const Licence& l, const Emitter& emitter, const RegisterRules& rules) {
  const double tolerance_hz = rules.frequency_tolerance_hz;
  const bool on_channel = lower_edge_hz(l) - tolerance_hz <= emitter.frequency_hz &&
                          emitter.frequency_hz <= upper_edge_hz(l) + tolerance_hz;
  if (in_force(l, emitter.last_heard)) return on_channel ? Standing::in_force : Standing::beside;
  return on_channel ? Standing::not_in_force : Standing::none;
}

constexpr double kNever = -std::numeric_limits<double>::infinity();

/// The hypotheses of one licence, as logs of their weights.
struct LicenceWeight {
  Standing standing = Standing::none;
  double at_its_place = kNever;  // times the share of its standing
  double wrong_row = kNever;
  Candidate candidate;
};

LicenceWeight weigh(const Licence& licence, const Emitter& emitter, const RegisterRules& rules) {
  const CrossFix& fix = emitter.fix;
  const geodesy::EnOffset x = geodesy::offset(fix.position, licence.position);
  LicenceWeight w;
  w.standing = standing_of(licence, emitter, rules);
  w.candidate = {&licence, std::hypot(x.east_m, x.north_m)};
  const double at_site = std::log(rules.activity) +
                         log_density_per_km2(x, widened(fix.covariance, licence.position_sigma_m));
  if (w.standing == Standing::beside)
    w.at_its_place = at_site + std::log(rules.off_frequency_share);
  if (w.standing == Standing::not_in_force) {
    w.at_its_place = at_site + std::log(rules.out_of_validity_share);
  }
  if (w.standing == Standing::in_force) {
    w.at_its_place = at_site + std::log1p(-rules.wrong_row_share);
    w.wrong_row = std::log(rules.activity) + std::log(rules.wrong_row_share) +
                  log_density_per_km2(x, widened(fix.covariance, rules.wrong_row_sigma_m));
  }
  return w;
}

/// The best of a standing, by its log weight.
struct Best {
  double log_weight = kNever;
  Candidate candidate;

  void see(double weight, const Candidate& seen) {
    if (candidate.licence != nullptr && weight <= log_weight) return;
    log_weight = weight;
    candidate = seen;
  }
};

/// Rows in force are transmitters each; rows beside the frequency or of other times are mostly
/// the neighbours and the past of one, so that only the best of them counts.
RegisterPosterior normalised(const std::vector<LicenceWeight>& weights, double log_unknown) {
  Best on_channel;
  Best beside;
  Best not_in_force;
  for (const LicenceWeight& w : weights) {
    if (w.standing == Standing::in_force) {
      on_channel.see(std::max(w.at_its_place, w.wrong_row), w.candidate);
    }
    if (w.standing == Standing::beside) beside.see(w.at_its_place, w.candidate);
    if (w.standing == Standing::not_in_force) not_in_force.see(w.at_its_place, w.candidate);
  }
  const double largest =
      std::max({log_unknown, on_channel.log_weight, beside.log_weight, not_in_force.log_weight});
  RegisterPosterior p;
  for (const LicenceWeight& w : weights) {
    if (w.standing != Standing::in_force) continue;
    p.right_row += std::exp(w.at_its_place - largest);
    p.wrong_row += std::exp(w.wrong_row - largest);
  }
  p.off_frequency = std::exp(beside.log_weight - largest);
  p.out_of_validity = std::exp(not_in_force.log_weight - largest);
  p.unknown = std::exp(log_unknown - largest);
  const double sum = p.right_row + p.wrong_row + p.off_frequency + p.out_of_validity + p.unknown;
  for (double* part :
       {&p.right_row, &p.wrong_row, &p.off_frequency, &p.out_of_validity, &p.unknown}) {
    *part /= sum;
  }
  p.on_channel = on_channel.candidate;
  p.beside = beside.candidate;
  p.not_in_force = not_in_force.candidate;
  return p;
}

}  // namespace

Register::Register(std::vector<Licence> licences, RegisterRules rules)
    : licences_(std::move(licences)), rules_(rules) {
  std::ranges::stable_sort(licences_, {}, lower_edge_hz);
  highest_edge_hz_.reserve(licences_.size());
  double highest = -std::numeric_limits<double>::infinity();
  for (const Licence& l : licences_) {
    highest = std::max(highest, upper_edge_hz(l));
    highest_edge_hz_.push_back(highest);
  }
}

std::vector<const Licence*> Register::near(double frequency_hz, double reach_hz) const {
  std::vector<const Licence*> found;
  const auto end = std::ranges::upper_bound(licences_, frequency_hz + reach_hz, {}, lower_edge_hz);
  // Backwards until no earlier band reaches the frequency any more.
  for (auto i = static_cast<std::size_t>(end - licences_.begin());
       i > 0 && highest_edge_hz_[i - 1] >= frequency_hz - reach_hz; --i) {
    const Licence& l = licences_[i - 1];
    if (upper_edge_hz(l) >= frequency_hz - reach_hz) found.push_back(&l);
  }
  return found;
}

std::vector<const Licence*> Register::candidates(double frequency_hz, TimePoint at) const& {
  auto found = near(frequency_hz, rules_.frequency_tolerance_hz);
  std::erase_if(found, [&](const Licence* l) { return !in_force(*l, at); });
  return found;
}

const Licence* Register::find(std::string_view id) const& {
  const auto found = std::ranges::find(licences_, id, &Licence::id);
  return found == licences_.end() ? nullptr : &*found;
}

RegisterPosterior Register::posterior(const Emitter& emitter) const& {
  std::vector<LicenceWeight> weights;
  const double reach_hz = rules_.frequency_tolerance_hz + rules_.frequency_reach_hz;
  for (const Licence* licence : near(emitter.frequency_hz, reach_hz)) {
    weights.push_back(weigh(*licence, emitter, rules_));
  }
  return normalised(weights, std::log(rules_.unknown_density_per_km2));
}

namespace {

/// Why an emitter isn't compared; empty: it is.
std::string why_not_compared(const Emitter& emitter, std::size_t licences) {
  if (licences == 0) return "the register is empty";
  if (!emitter.fix.accepted()) return "no fix was accepted, so there is no place to compare";
  if (emitter.motion == Motion::moving) return "it moves, so it has no site to compare";
  return "";
}

}  // namespace

RegisterMatch Register::match(const Emitter& emitter,
                              const std::optional<RegisterMatch>& previous) const {
  RegisterMatch match;
  match.emitter = emitter.key;
  match.evidence = why_not_compared(emitter, licences_.size());
  if (!match.evidence.empty()) return match;

  const RegisterPosterior p = posterior(emitter);
  const auto before = previous ? previous->verdict : RegisterVerdict::undecided;
  match.verdict = verdict_of(p, before, rules_);
  match.posterior = std::clamp(probability_of(match.verdict, p), 0.0, 1.0);  // rounding
  if (const Candidate entry = entry_of(match.verdict, p); entry.licence != nullptr) {
    match.licence = entry.licence->id;
    match.distance_m = entry.distance_m;
    match.frequency_offset_hz = emitter.frequency_hz - entry.licence->frequency_hz;
  }
  match.evidence = evidence_of(match.verdict, p, emitter);
  return match;
}

}  // namespace fixwright::register_
