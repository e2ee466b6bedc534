#include "server/register/decisions.hpp"

#include <fmt/core.h>

#include <cmath>
#include <utility>

#include "server/geodesy/local_frame.hpp"

namespace fixwright::register_ {

namespace {

double area_m2(const EnCovariance& c) { return std::sqrt(c.ee_m2 * c.nn_m2 - c.en_m2 * c.en_m2); }

/// Another verdict, or the same with another entry. The numbers alone are no news.
bool says_the_same(const RegisterMatch& a, const RegisterMatch& b) {
  return a.verdict == b.verdict && a.licence == b.licence;
}

bool fix_changed(const CrossFix& then, const CrossFix& now, const RegisterRules& rules) {
  if (!then.accepted() || !now.accepted()) return then.accepted() != now.accepted();
  const double moved2 =
      geodesy::mahalanobis_squared(then.covariance, geodesy::offset(then.position, now.position));
  if (moved2 > rules.moved_sigmas * rules.moved_sigmas) return true;
  const double ratio = area_m2(now.covariance) / area_m2(then.covariance);
  return ratio > rules.area_factor || ratio < 1.0 / rules.area_factor;
}

bool day_changed(TimePoint then, TimePoint now) {
  return std::chrono::floor<std::chrono::days>(then) != std::chrono::floor<std::chrono::days>(now);
}

}  // namespace

RegisterDecisions::RegisterDecisions(std::shared_ptr<const Register> known)
    : known_(std::move(known)) {}

bool RegisterDecisions::due(const Decision& decision, const Emitter& emitter) const {
  const Emitter& then = decision.decided_on;
  const RegisterRules& rules = known_->rules();
  return then.motion != emitter.motion || day_changed(then.last_heard, emitter.last_heard) ||
         std::abs(then.frequency_hz - emitter.frequency_hz) > rules.frequency_tolerance_hz ||
         fix_changed(then.fix, emitter.fix, rules);
}

std::optional<RegisterMatch> RegisterDecisions::on_emitter(const Emitter& emitter) {
  if (emitter.state == EmitterState::retired) decisions_.erase(emitter.key);
  if (emitter.state != EmitterState::confirmed) return std::nullopt;

  const auto at = decisions_.find(emitter.key);
  if (at == decisions_.end()) {
    const RegisterMatch by_register = known_->match(emitter);
    const RegisterMatch match = in_force(by_register, emitter);
    decisions_.emplace(emitter.key, Decision{match, by_register, emitter});
    return match;
  }
  Decision& decision = at->second;
  if (!replaced_ && !due(decision, emitter)) return std::nullopt;
  return decide(decision, emitter) ? std::optional{decision.match} : std::nullopt;
}

bool RegisterDecisions::decide(Decision& decision, const Emitter& emitter) {
  const RegisterMatch by_register = known_->match(emitter, decision.by_register);
  const RegisterMatch match = in_force(by_register, emitter);
  const bool news = !says_the_same(match, decision.match);
  decision = {match, by_register, emitter};
  return news;
}

std::vector<RegisterDecisions::News> RegisterDecisions::decide_again() {
  std::vector<News> all;
  if (!std::exchange(replaced_, false)) return all;
  for (auto& [key, decision] : decisions_) {
    const Emitter emitter = decision.decided_on;
    if (decide(decision, emitter)) all.push_back({emitter, decision.match});
  }
  return all;
}

const RegisterMatch* RegisterDecisions::find(EmitterKey key) const {
  const auto at = decisions_.find(key);
  return at == decisions_.end() ? nullptr : &at->second.match;
}

void RegisterDecisions::restore(const RegisterMatch& match, const Emitter& emitter) {
  decisions_.insert_or_assign(match.emitter, Decision{match, match, emitter});
}

RegisterMatch RegisterDecisions::in_force(const RegisterMatch& by_register,
                                          const Emitter& emitter) const {
  const auto found = opinions_.find(by_register.emitter);
  if (found == opinions_.end() || !found->second.verdict) return by_register;
  const RegisterOpinion& opinion = found->second;
  RegisterMatch match = by_register;
  match.verdict = *opinion.verdict;
  match.posterior = 1.0;
  match.evidence = fmt::format("{} decided: {}; the register alone: {}, {}", opinion.by,
                               opinion.note, to_string(by_register.verdict), by_register.evidence);
  const Licence* entry = opinion.licence ? known_->find(*opinion.licence) : nullptr;
  if (entry != nullptr && emitter.fix.accepted()) {
    const auto x = geodesy::offset(emitter.fix.position, entry->position);
    match.licence = entry->id;
    match.distance_m = std::hypot(x.east_m, x.north_m);
    match.frequency_offset_hz = emitter.frequency_hz - entry->frequency_hz;
  }
  return match;
}

void RegisterDecisions::replace(std::shared_ptr<const Register> known,
                                std::map<EmitterKey, RegisterOpinion> opinions) {
  known_ = std::move(known);
  opinions_ = std::move(opinions);
  replaced_ = true;
}

}  // namespace fixwright::register_
