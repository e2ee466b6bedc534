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

/// The two hypotheses of one licence, as logs of their weights.
struct LicenceWeight {
  double right_row = 0.0;
  double wrong_row = 0.0;
  double distance_m = 0.0;
};

LicenceWeight weigh(const Licence& licence, const CrossFix& fix, const RegisterRules& rules) {
  const geodesy::EnOffset x = geodesy::offset(fix.position, licence.position);
  const double log_activity = std::log(rules.activity);
  const auto right = widened(fix.covariance, licence.position_sigma_m);
  const auto wrong = widened(fix.covariance, rules.wrong_row_sigma_m);
  return {log_activity + std::log1p(-rules.wrong_row_share) + log_density_per_km2(x, right),
          log_activity + std::log(rules.wrong_row_share) + log_density_per_km2(x, wrong),
          std::hypot(x.east_m, x.north_m)};
}

/// Whether the numbers still bear a verdict taken before.
bool bears(RegisterVerdict verdict, const RegisterPosterior& p, double threshold) {
  switch (verdict) {
    case RegisterVerdict::registered:
      return p.right_row + p.wrong_row >= threshold && p.right_row >= p.wrong_row;
    case RegisterVerdict::unregistered:
      return p.unknown >= threshold;
    case RegisterVerdict::position_disagrees:
      return p.likeliest != nullptr && p.right_row <= 1.0 - threshold;
    case RegisterVerdict::undecided:
      break;
  }
  return false;
}

/// Which verdict the numbers give by themselves.
RegisterVerdict fresh_verdict(const RegisterPosterior& p, double threshold) {
  for (const auto verdict : {RegisterVerdict::unregistered, RegisterVerdict::registered,
                             RegisterVerdict::position_disagrees}) {
    if (bears(verdict, p, threshold)) return verdict;
  }
  return RegisterVerdict::undecided;
}

/// A clear case for the unknown or for a licence ends any verdict. "The position disagrees" is
/// the weaker word: it yields to an older verdict that still holds.
RegisterVerdict verdict_with_hysteresis(const RegisterPosterior& p, RegisterVerdict previous,
                                        const RegisterRules& rules) {
  const RegisterVerdict fresh = fresh_verdict(p, rules.take_at);
  if (fresh == RegisterVerdict::unregistered || fresh == RegisterVerdict::registered) return fresh;
  return bears(previous, p, rules.keep_above) ? previous : fresh;
}

double probability_of(RegisterVerdict verdict, const RegisterPosterior& p) {
  switch (verdict) {
    case RegisterVerdict::registered:
      return p.right_row + p.wrong_row;
    case RegisterVerdict::unregistered:
      return p.unknown;
    case RegisterVerdict::position_disagrees:
      return 1.0 - p.right_row;
    case RegisterVerdict::undecided:
      break;
  }
  return std::max(p.right_row + p.wrong_row, p.unknown);
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

std::vector<const Licence*> Register::candidates(double frequency_hz, TimePoint at) const& {
  std::vector<const Licence*> found;
  const double tolerance_hz = rules_.frequency_tolerance_hz;
  const auto end =
      std::ranges::upper_bound(licences_, frequency_hz + tolerance_hz, {}, lower_edge_hz);
  // Backwards until no earlier band reaches the frequency any more.
  for (auto i = static_cast<std::size_t>(end - licences_.begin());
       i > 0 && highest_edge_hz_[i - 1] >= frequency_hz - tolerance_hz; --i) {
    const Licence& l = licences_[i - 1];
    if (upper_edge_hz(l) >= frequency_hz - tolerance_hz && in_force(l, at)) found.push_back(&l);
  }
  return found;
}

RegisterPosterior Register::posterior(const Emitter& emitter) const& {
  RegisterPosterior result;
  const auto on_channel = candidates(emitter.frequency_hz, emitter.last_heard);
  if (on_channel.empty()) return result;

  const double log_unknown = std::log(rules_.unknown_density_per_km2);
  double largest = log_unknown;
  double likeliest = -std::numeric_limits<double>::infinity();
  std::vector<LicenceWeight> weights;
  for (const Licence* licence : on_channel) {
    const LicenceWeight& w = weights.emplace_back(weigh(*licence, emitter.fix, rules_));
    const double best = std::max(w.right_row, w.wrong_row);
    largest = std::max(largest, best);
    if (best <= likeliest && result.likeliest != nullptr) continue;
    likeliest = best;
    result.likeliest = licence;
    result.distance_m = w.distance_m;
  }
  for (const LicenceWeight& w : weights) {
    result.right_row += std::exp(w.right_row - largest);
    result.wrong_row += std::exp(w.wrong_row - largest);
  }
  result.unknown = std::exp(log_unknown - largest);
  const double sum = result.right_row + result.wrong_row + result.unknown;
  result.right_row /= sum;
  result.wrong_row /= sum;
  result.unknown /= sum;
  return result;
}

RegisterMatch Register::match(const Emitter& emitter,
                              const std::optional<RegisterMatch>& previous) const {
  RegisterMatch match{emitter.key, RegisterVerdict::undecided, 0.0, {}, {}};
  if (licences_.empty() || !emitter.fix.accepted() || emitter.motion == Motion::moving) {
    return match;
  }
  const RegisterPosterior p = posterior(emitter);
  const auto before = previous ? previous->verdict : RegisterVerdict::undecided;
  match.verdict = verdict_with_hysteresis(p, before, rules_);
  match.posterior = std::clamp(probability_of(match.verdict, p), 0.0, 1.0);  // rounding
  if (p.likeliest != nullptr) {
    match.licence = p.likeliest->id;
    match.distance_m = p.distance_m;
  }
  return match;
}

}  // namespace fixwright::register_
