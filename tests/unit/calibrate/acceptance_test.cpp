#include "server/calibrate/acceptance.hpp"

#include <gtest/gtest.h>

#include <functional>

namespace fixwright::calibrate {
namespace {

using std::chrono::hours;

TimePoint noon() { return *parse_rfc3339("2031-05-04T12:00:00Z"); }

AcceptanceRules enabled() {
  AcceptanceRules rules;
  rules.enabled = true;
  return rules;
}

ProposedCalibration sound() {
  ProposedCalibration p;
  p.calibration.bias_deg = -2.0;
  p.bias_sigma_deg = 0.1;
  p.bearings = 500;
  p.transmitters = 3;
  p.proposed_at = noon() - hours{1};
  return p;
}

std::string breach(const std::function<void(ProposedCalibration&)>& change) {
  ProposedCalibration p = sound();
  change(p);
  return breach_of(p, enabled(), noon());
}

TEST(Acceptance, ASoundOneIsAcceptedOnlyWhereARuleSaysSo) {
  EXPECT_EQ(breach_of(sound(), enabled(), noon()), "");
  EXPECT_EQ(breach_of(sound(), {}, noon()), "no rule accepts");
}

TEST(Acceptance, EachLimitHolds) {
  EXPECT_EQ(breach([](auto& p) { p.method = CalibrationMethod::joint; }),
            "made by the joint method");
  EXPECT_EQ(breach([](auto& p) { p.proposed_at = noon() - hours{25}; }), "proposed too long ago");
  EXPECT_EQ(breach([](auto& p) { p.bearings = 199; }), "199 bearings of 200");
  EXPECT_EQ(breach([](auto& p) { p.transmitters = 1; }), "1 transmitters of 2");
  EXPECT_EQ(breach([](auto& p) { p.calibration.bias_deg = -5.1; }), "a bias of 5.10 deg");
  EXPECT_EQ(breach([](auto& p) { p.bias_sigma_deg = 0.31; }), "known to 0.31 deg only");
}

TEST(Acceptance, TheJointMethodIsForWhoSaysSo) {
  AcceptanceRules rules = enabled();
  rules.joint = true;
  ProposedCalibration p = sound();
  p.method = CalibrationMethod::joint;
  EXPECT_EQ(breach_of(p, rules, noon()), "");
  EXPECT_EQ(text_of(rules),
            "by rule: 200 bearings and 2 transmitters at least, bias at most 5 deg, known to 0.3 "
            "deg, the joint method too");
}

}  // namespace
}  // namespace fixwright::calibrate
