#pragma once
/// The register of licensed transmitters, and what it says about an emitter.
///
/// For an emitter at x with covariance P, each licence X near its frequency has hypotheses, and
/// beside them there is the unknown transmitter:
///
///     right row        a (1 - eps) N(x; x_X, P + Sigma_X)     on the frequency, in force when the
///     wrong row        a eps       N(x; x_X, P + (3 km)^2)    emitter was last heard
///     off frequency    a 0.005     N(x; x_X, P + Sigma_X)     to 10 kHz beside the band, in force
///     out of validity  a 0.02      N(x; x_X, P + Sigma_X)     on the frequency, not in force
///     unknown          density of unknown transmitters per km^2 and channel
///
/// Verdicts: `registered` when the licences in force together reach 0.95 and mostly by right rows;
/// `unregistered`, `off_frequency`, `out_of_validity` when theirs reaches 0.95;
/// `position_disagrees` when there is a licence on the frequency, the emitter is at no entry's
/// place with 0.95, and a wrong row can't be excluded (the unknown is below 0.95); else
/// `undecided`. A verdict once taken stays until its probability is below 0.80. It is evidence:
/// an entry may be missing, late or wrong, and an ellipse that is too small poisons it.
///
/// The shares of 0.005 and 0.02 are from no source: one transmitter in 200 drifts past its band
/// and its neighbours, one in 50 outlives its entry in the file. Where an entry in force fits as
/// well, they decide for it; alone at a site they decide against the unknown.

#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

#include "server/model/emitter.hpp"
#include "server/model/licence.hpp"
#include "server/register/rules.hpp"
#include "server/register/verdict.hpp"

namespace fixwright::register_ {

/// Immutable; a new import makes a new one. Safe to read from several threads.
class Register {
 public:
  explicit Register(std::vector<Licence> licences, RegisterRules rules = {});

  /// The verdict, given the one before (hysteresis). `undecided` with probability 0 for: an
  /// emitter without an accepted fix; a moving one (it has no site to compare); an empty
  /// register (nobody has loaded one: its silence proves nothing). An emitter on a frequency
  /// without any licence in force is `unregistered` with probability 1.
  [[nodiscard]] RegisterMatch match(const Emitter& emitter,
                                    const std::optional<RegisterMatch>& previous = {}) const;

  /// The numbers behind it. \pre the emitter's fix is accepted.
  [[nodiscard]] RegisterPosterior posterior(const Emitter& emitter) const&;
  RegisterPosterior posterior(const Emitter& emitter) const&& = delete;  // it would dangle

  /// Licences whose band, widened by the tolerance, holds the frequency, in force at `at`.
  [[nodiscard]] std::vector<const Licence*> candidates(double frequency_hz, TimePoint at) const&;
  std::vector<const Licence*> candidates(double frequency_hz, TimePoint at) const&& = delete;

  /// The entry of this id, or nullptr. Looks through all of them.
  [[nodiscard]] const Licence* find(std::string_view id) const&;
  const Licence* find(std::string_view id) const&& = delete;

  [[nodiscard]] std::size_t size() const { return licences_.size(); }
  [[nodiscard]] const RegisterRules& rules() const { return rules_; }

 private:
  /// Licences whose band, widened by `reach_hz`, holds the frequency, whenever in force.
  [[nodiscard]] std::vector<const Licence*> near(double frequency_hz, double reach_hz) const;

  std::vector<Licence> licences_;        // by the lower edge of the band
  std::vector<double> highest_edge_hz_;  // highest upper edge of licences_[0..i]
  RegisterRules rules_;
};

}  // namespace fixwright::register_
