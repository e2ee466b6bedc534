// Looks put together.
#include "station_agent/calibrate/gather.hpp"

#include <gtest/gtest.h>

namespace fixwright::agent::calibrate {
namespace {

detect::ChannelLook look(double snapshots, double power) {
  detect::ChannelLook l;
  l.snapshots = snapshots;
  l.frequency_hz = 100e6;
  l.snr_db = 20.0;
  l.covariance = power * Eigen::MatrixXcd::Identity(2, 2);
  l.noise_power = Eigen::VectorXd::Constant(2, 0.1 * power);
  return l;
}

TEST(Gathering, MakesFourPartsOfWhatIsMuchInTheOrderOfTime) {
  std::vector<detect::ChannelLook> looks;
  for (int i = 0; i < 10; ++i) looks.push_back(look(100.0, 1.0 + i));
  const Gathered g = gather(looks);
  ASSERT_EQ(g.parts.size(), 4U);
  EXPECT_EQ(g.snapshots, 1000.0);
  double sum = 0.0;
  for (const auto& p : g.parts) sum += p.snapshots * p.matrix(0, 0).real();
  EXPECT_NEAR(sum, 5'500.0, 1e-9);  // 100 (1 + ... + 10): nothing is lost or counted twice
  EXPECT_LT(g.parts.front().matrix(0, 0).real(), g.parts.back().matrix(0, 0).real());
}

TEST(Gathering, WeighsByIndependentSnapshots) {
  const Gathered g = gather({look(60.0, 1.0), look(20.0, 5.0)});
  ASSERT_EQ(g.parts.size(), 1U);
  EXPECT_NEAR(g.parts[0].matrix(1, 1).real(), 2.0, 1e-12);  // (60 + 20 * 5) / 80
  EXPECT_NEAR(g.parts[0].noise_power[0], 0.2, 1e-12);
  EXPECT_EQ(g.parts[0].snapshots, 80.0);
}

TEST(Gathering, PassesOverSomeOverloadedLooksButNotMost) {
  std::vector<detect::ChannelLook> looks(4, look(100.0, 1.0));
  looks[1].overload = true;
  EXPECT_EQ(gather(looks).snapshots, 300.0);
  EXPECT_EQ(gathering_problem(gather(looks), 1e8, 1.0), "");
  looks[2].overload = looks[3].overload = true;
  EXPECT_EQ(gathering_problem(gather(looks), 1e8, 1.0),
            "100.000000 MHz: overloaded in 3 of 4 looks: less gain, or a weaker reference");
}

TEST(Gathering, SixtyThreeSnapshotsAreTooFewAndSixtyFourAreNot) {
  EXPECT_NE(gathering_problem(gather({look(63.0, 1.0)}), 1e8, 1.0), "");
  EXPECT_EQ(gathering_problem(gather({look(64.0, 1.0)}), 1e8, 1.0), "");
}

}  // namespace
}  // namespace fixwright::agent::calibrate
