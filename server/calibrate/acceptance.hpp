#pragma once
/// Which proposed calibrations are accepted without a person, by a rule that a person configured.

#include <string>

#include "server/model/calibration.hpp"

namespace fixwright::calibrate {

struct AcceptanceRules {
  bool enabled = false;
  bool joint = false;                // also those of the joint method
  std::size_t min_bearings = 200;    // behind it, 1 to 1e9
  std::size_t min_transmitters = 2;  // behind it, 1 to 1000
  double max_bias_deg = 5.0;         // a larger one is a turned mast: a person looks. 0 to 180
  double max_bias_sigma_deg = 0.3;   // 0.001 to 10
  Duration max_age = std::chrono::hours{24};  // of the proposal: an older one was left for a person
};

/// Empty when the rules accept it; else the first rule that it breaks, in a few words.
/// \pre p is proposed, and nobody decided about it.
std::string breach_of(const ProposedCalibration& p, const AcceptanceRules& rules, TimePoint now);

/// The rules in one line, for the decision's note.
std::string text_of(const AcceptanceRules& rules);

}  // namespace fixwright::calibrate
