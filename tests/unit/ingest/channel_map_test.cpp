#include "server/ingest/channel_map.hpp"

#include <gmock/gmock.h>

#include <cmath>

namespace fixwright::ingest {
namespace {

using testing::HasSubstr;

Channel channel(ChannelId id, double frequency_hz, double bandwidth_hz = 25e3) {
  return {id, "ch" + std::to_string(id), frequency_hz, bandwidth_hz};
}

ChannelMap three() {
  return ChannelMap::make({channel(3, 160.0e6), channel(1, 156.0e6), channel(2, 156.025e6)}, 12.5e3)
      .value();
}

TEST(ChannelMap, AChannelHoldsItsLowerEdgeAndNotItsUpper) {
  const ChannelMap map = three();
  EXPECT_EQ(map.channel_of(156.0e6), 1);
  EXPECT_EQ(map.channel_of(155.9875e6), 1);
  EXPECT_EQ(map.channel_of(156.0125e6), 2) << "the edge that channels 1 and 2 share";
  EXPECT_EQ(map.channel_of(156.0374e6), 2);
  EXPECT_EQ(map.channel_of(160.0e6), 3);
}

TEST(ChannelMap, AFrequencyOutsideThePlanBelongsToTheNearestSlotOfTheRaster) {
  const ChannelMap map = three();
  EXPECT_EQ(map.channel_of(156.0375e6), 1'000'000 + 12'483);
  EXPECT_EQ(map.channel_of(433.92e6), 1'000'000 + 34'714) << "433.92 MHz / 12.5 kHz = 34713.6";
  EXPECT_EQ(map.channel_of(1.0), 1'000'000);
  EXPECT_EQ(map.channel_of(3e11), 1'000'000 + 24'000'000);
}

TEST(ChannelMap, AnEmptyPlanLeavesAllToTheRaster) {
  const ChannelMap map = ChannelMap::make({}, 25e3).value();
  EXPECT_EQ(map.channel_of(100e6), 1'004'000);
  EXPECT_EQ(map.planned(1), nullptr);
}

TEST(ChannelMap, EveryFrequencyOfAFinePlanFindsTheChannelThatALinearSearchFinds) {
  std::vector<Channel> plan;
  for (int i = 0; i < 500; ++i)
    plan.push_back(channel(i + 1, 150e6 + i * 12.5e3 * (1 + i % 3), 9e3));
  const auto made = ChannelMap::make(plan, 5e3);
  ASSERT_FALSE(made.ok()) << "i % 3 makes some coincide";
  plan.clear();
  for (int i = 0; i < 500; ++i) plan.push_back(channel(500 - i, 150e6 + i * 12.5e3, 9e3));
  const ChannelMap map = ChannelMap::make(plan, 5e3).value();
  for (double hz = 149.9e6; hz < 156.4e6; hz += 1234.5) {
    ChannelId expected = 1'000'000 + std::llround(hz / 5e3);
    for (const Channel& c : plan) {
      if (std::abs(hz - c.frequency_hz) < c.bandwidth_hz / 2.0) expected = c.id;
    }
    ASSERT_EQ(map.channel_of(hz), expected) << hz;
  }
}

TEST(ChannelMap, AStationMayPutASignalOnAChannelWithinOneWidthOfItsCentre) {
  const ChannelMap map = three();
  EXPECT_TRUE(map.fits(1, 156.0e6 + 25e3));
  EXPECT_FALSE(map.fits(1, 156.0e6 + 25.001e3));
  EXPECT_FALSE(map.fits(9, 156.0e6));
  EXPECT_TRUE(map.fits(1'034'714, 433.92e6));
  EXPECT_FALSE(map.fits(1'034'715, 433.92e6));
  EXPECT_FALSE(map.fits(1'012'480, 156.0e6)) << "planned spectrum has no raster channel";
}

TEST(ChannelMap, OverlappingChannelsAreTheOperatorsMistakeAndBothAreNamed) {
  const auto made = ChannelMap::make({channel(7, 156.0e6), channel(4, 156.02e6)}, 12.5e3);
  ASSERT_FALSE(made.ok());
  EXPECT_THAT(made.error(), HasSubstr("channels 7 and 4 overlap: 156012500 Hz is above 156007500"));
}

TEST(ChannelMap, APlanWithValuesOutOfRangeIsRefusedWithTheValue) {
  const auto error = [](std::vector<Channel> plan, double raster_hz = 12.5e3) {
    const auto made = ChannelMap::make(std::move(plan), raster_hz);
    return made.ok() ? std::string("accepted") : made.error();
  };
  EXPECT_THAT(error({channel(0, 1e8)}), HasSubstr("channel 0: id must be 1 to 999999"));
  EXPECT_THAT(error({channel(1'000'000, 1e8)}), HasSubstr("id must be"));
  EXPECT_THAT(error({channel(1, std::nan(""))}), HasSubstr("frequency_hz = nan"));
  EXPECT_THAT(error({channel(1, 1e8, 0.0)}), HasSubstr("bandwidth_hz = 0"));
  EXPECT_THAT(error({channel(1, 1e4, 2.1e4)}), HasSubstr("at most twice the frequency"));
  EXPECT_THAT(error({channel(1, 1e8), channel(1, 2e8)}), HasSubstr("given twice"));
  EXPECT_THAT(error({channel(1, 1e8), {2, "ch1", 2e8, 1e3}}), HasSubstr("name \"ch1\""));
  EXPECT_THAT(error({}, 0.5), HasSubstr("raster_hz = 0.5: must be 1 to 1e9"));
  EXPECT_THAT(error({}, std::nan("")), HasSubstr("raster_hz = nan"));
}

}  // namespace
}  // namespace fixwright::ingest
