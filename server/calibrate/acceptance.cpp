#include "server/calibrate/acceptance.hpp"

#include <fmt/core.h>

#include <cmath>

namespace fixwright::calibrate {

std::string breach_of(const ProposedCalibration& p, const AcceptanceRules& rules, TimePoint now) {
  const double bias = std::abs(p.calibration.bias_deg);
  if (!rules.enabled) return "no rule accepts";
  if (p.method == CalibrationMethod::joint && !rules.joint) return "made by the joint method";
  if (now - p.proposed_at > rules.max_age) return "proposed too long ago";
  if (p.bearings < rules.min_bearings) {
    return fmt::format("{} bearings of {}", p.bearings, rules.min_bearings);
  }
  if (p.transmitters < rules.min_transmitters) {
    return fmt::format("{} transmitters of {}", p.transmitters, rules.min_transmitters);
  }
  if (bias > rules.max_bias_deg) return fmt::format("a bias of {:.2f} deg", bias);
  if (p.bias_sigma_deg > rules.max_bias_sigma_deg) {
    return fmt::format("known to {:.2f} deg only", p.bias_sigma_deg);
  }
  return {};
}

std::string text_of(const AcceptanceRules& rules) {
  return fmt::format(
      "by rule: {} bearings and {} transmitters at least, bias at most {:g} deg, known to {:g} "
      "deg{}",
      rules.min_bearings, rules.min_transmitters, rules.max_bias_deg, rules.max_bias_sigma_deg,
      rules.joint ? ", the joint method too" : "");
}

}  // namespace fixwright::calibrate
