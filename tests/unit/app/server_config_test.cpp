#include "server/app/server_config.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

namespace fixwright::app {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;

std::string minimal(const std::string& more) {
  return "[database]\nconnection = \"dbname=fixwright\"\n" + more;
}

Result<ServerConfig> read(const std::string& toml) {
  const std::string path = ::testing::TempDir() + "/server_config_" +
                           ::testing::UnitTest::GetInstance()->current_test_info()->name() +
                           ".toml";
  std::ofstream(path) << toml;
  return read_server_config(path);
}

TEST(ServerConfig, TheShippedFileIsGoodAndShowsTheDefaults) {
  const std::string shipped = std::string(FIXWRIGHT_SOURCE_DIR) + "/deploy/config/server.toml";
  const auto file = read_server_config(shipped);
  ASSERT_TRUE(file.ok()) << file.error();
  const auto bare = read(minimal(""));
  ASSERT_TRUE(bare.ok()) << bare.error();
  EXPECT_EQ(file->rpc.listen_address, bare->rpc.listen_address);
  EXPECT_EQ(file->web.port, bare->web.port);
  EXPECT_EQ(file->recover, bare->recover);
  EXPECT_EQ(file->raster_hz, bare->raster_hz);
  EXPECT_EQ(file->pipeline.align.lateness_s, bare->pipeline.align.lateness_s);
  EXPECT_EQ(file->pipeline.locate.odd_p_value, bare->pipeline.locate.odd_p_value);
  EXPECT_EQ(file->pipeline.track.retire_s, bare->pipeline.track.retire_s);
  EXPECT_EQ(file->register_rules.take_at, bare->register_rules.take_at);
  EXPECT_EQ(file->alert.silent_after, bare->alert.silent_after);
  EXPECT_EQ(file->alert.of(AlertKind::clock_bad).severity,
            bare->alert.of(AlertKind::clock_bad).severity);
  EXPECT_EQ(file->ingest.limits.max_in_flight, bare->ingest.limits.max_in_flight);
}

TEST(ServerConfig, EveryMistakeIsToldAtOnceWithFileLineKeyValueAndRule) {
  const auto config = read(minimal("[align]\nslack_s = -1\nlatness_s = 60\n"));
  ASSERT_FALSE(config.ok());
  EXPECT_THAT(config.error(), AllOf(HasSubstr(".toml:4: align.slack_s = -1"), HasSubstr("0 to 60"),
                                    HasSubstr("align.latness_s"), HasSubstr("align.lateness_s")));
}

TEST(ServerConfig, TwoStationsOfOneNameAreRefused) {
  const std::string station =
      "[[station]]\nname = \"OSM-1\"\nlatitude_deg = 41\nlongitude_deg = -150\n";
  const auto config = read(minimal(station + station));
  ASSERT_FALSE(config.ok());
  EXPECT_THAT(config.error(), AllOf(HasSubstr("OSM-1"), HasSubstr("unique")));
}

TEST(ServerConfig, AStationNeedsItsPlace) {
  const auto config = read(minimal("[[station]]\nname = \"OSM-1\"\nlatitude_deg = 41\n"));
  ASSERT_FALSE(config.ok());
  EXPECT_THAT(config.error(), HasSubstr("longitude_deg"));
}

TEST(ServerConfig, AMissingFileIsNamed) {
  const auto config = read_server_config("/no/such/server.toml");
  ASSERT_FALSE(config.ok());
  EXPECT_THAT(config.error(), HasSubstr("/no/such/server.toml"));
}

}  // namespace
}  // namespace fixwright::app
