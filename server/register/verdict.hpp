#pragma once
/// From the numbers to the word, and to the line that says what the word rests on.

#include <string>

#include "server/model/emitter.hpp"
#include "server/model/licence.hpp"
#include "server/register/rules.hpp"

namespace fixwright::register_ {

/// An entry of the register beside an emitter.
struct Candidate {
  const Licence* licence = nullptr;  // owned by the Register
  double distance_m = 0.0;           // from the emitter to it
};

/// Probabilities of the kinds of hypothesis; their sum is 1. Beside each kind its likeliest entry.
struct RegisterPosterior {
  double right_row = 0.0;
  double wrong_row = 0.0;
  double off_frequency = 0.0;
  double out_of_validity = 0.0;
  double unknown = 1.0;
  Candidate on_channel;    // of the right and wrong rows
  Candidate beside;        // of off_frequency
  Candidate not_in_force;  // of out_of_validity
};

/// The verdict, given the one before: a verdict is taken at rules.take_at, and stays while its
/// probability is above rules.keep_above. A clear case for any other ends it.
RegisterVerdict verdict_of(const RegisterPosterior& p, RegisterVerdict previous,
                           const RegisterRules& rules);

/// Of a verdict, or of the likeliest one where it is undecided. [0, 1].
double probability_of(RegisterVerdict verdict, const RegisterPosterior& p);

/// The entry that a verdict speaks of; of an unregistered or undecided one the likeliest.
Candidate entry_of(RegisterVerdict verdict, const RegisterPosterior& p);

/// One line: what was found, the probability of each hypothesis, what can be told apart.
std::string evidence_of(RegisterVerdict verdict, const RegisterPosterior& p,
                        const Emitter& emitter);

}  // namespace fixwright::register_
