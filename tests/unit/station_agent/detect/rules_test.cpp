/// Configurations that cannot be, and how the transform is chosen.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "station_agent/detect/bin_plan.hpp"
#include "tests/unit/station_agent/detect/air.hpp"

namespace fixwright::agent::detect {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

TEST(DetectorConfig, SoundOneHasNoProblem) {
  EXPECT_THAT(problems_of(air::config({0.0, 20e3})), ElementsAre());
}

TEST(DetectorConfig, ChannelOutsideTheSampledBandIsNamed) {
  EXPECT_THAT(problems_of(air::config({0.0, 115e3})),
              ElementsAre(HasSubstr("channel 2: 434.0350 MHz, 12500 Hz wide, is not within")));
}

TEST(DetectorConfig, ChannelNarrowerThanFourBinsIsNamed) {
  // Windows are at most 8 ms: at 240 kS/s 1024 samples, bins of 234 Hz.
  EXPECT_THAT(
      problems_of(air::config({0.0}, 500.0)),
      ElementsAre(HasSubstr("channel 1: 500 Hz is too narrow: at this rate it must be 1172")));
}

TEST(DetectorConfig, EveryRuleOutsideItsRangeIsNamed) {
  DetectorConfig c = air::config({0.0});
  c.elements = 33;
  c.rules.open_snr_db = 1.0;
  c.rules.close_snr_db = 1.0;
  c.rules.integration = std::chrono::milliseconds{1};
  c.rules.occupied_share = 1.0;
  EXPECT_THAT(problems_of(c),
              ElementsAre(HasSubstr("elements = 33"), HasSubstr("must be below open_snr_db = 1"),
                          HasSubstr("integration"), HasSubstr("occupied_share = 1")));
}

TEST(DetectorConfig, NotANumberIsNoRate) {
  DetectorConfig c = air::config({0.0});
  c.rate_hz = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THAT(problems_of(c), ElementsAre(HasSubstr("rate_hz")));
}

TEST(BinPlan, BinsAreASixteenthOfTheNarrowestChannelOrFiner) {
  DetectorConfig c = air::config({0.0});
  c.rate_hz = 2.4e6;
  const BinPlan plan = plan_bins(c);
  EXPECT_EQ(plan.size, 4096U);
  EXPECT_LE(plan.bin_hz, 12.5e3 / 16.0);
  EXPECT_EQ(plan.step_windows, 3U);
  EXPECT_EQ(plan.channels[0].first, -10);  // bins whose middle is in the channel: 10.67 either side
  EXPECT_EQ(plan.channels[0].count, 21U);
}

}  // namespace
}  // namespace fixwright::agent::detect
