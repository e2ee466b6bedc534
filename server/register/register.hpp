#pragma once
/// The register of licensed transmitters, and what it says about an emitter.
///
/// For an emitter at x with covariance P, each licence X on its frequency, in force when the
/// emitter was last heard, has two hypotheses, and beside them there is the unknown transmitter:
///
///     right row   a (1 - eps) N(x; x_X, P + Sigma_X)
///     wrong row   a eps       N(x; x_X, P + (3 km)^2)
///     unknown     density of unknown transmitters per km^2 and channel
///
/// Verdicts: `registered` when the licences together reach 0.95 and mostly by right rows;
/// `unregistered` when the unknown reaches 0.95; `position_disagrees` when there is a licence on
/// the frequency, the right rows are down to 0.05, and a wrong row can't be excluded (the unknown
/// is below 0.95); else `undecided`. A verdict once taken stays until its probability is below
/// 0.80. It is evidence: an entry may be missing, late or wrong, and an ellipse that is too
/// small poisons it.

#include <cstddef>
#include <optional>
#include <vector>

#include "server/model/emitter.hpp"
#include "server/model/licence.hpp"
#include "server/register/rules.hpp"

namespace fixwright::register_ {

/// Probabilities of the three kinds of hypothesis; their sum is 1.
struct RegisterPosterior {
  double right_row = 0.0;
  double wrong_row = 0.0;
  double unknown = 1.0;
  const Licence* likeliest = nullptr;  // on the frequency; owned by the Register
  double distance_m = 0.0;             // from the emitter to it
};

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

  [[nodiscard]] std::size_t size() const { return licences_.size(); }
  [[nodiscard]] const RegisterRules& rules() const { return rules_; }

 private:
  std::vector<Licence> licences_;        // by the lower edge of the band
  std::vector<double> highest_edge_hz_;  // highest upper edge of licences_[0..i]
  RegisterRules rules_;
};

}  // namespace fixwright::register_
