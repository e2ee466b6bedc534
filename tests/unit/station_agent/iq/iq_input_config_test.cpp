/// [source.iq] of the configuration: which input, and every mistake with its key.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "station_agent/source/iq/input_config.hpp"

namespace fixwright::agent::iq {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

struct ReadConfig {
  IqInputConfig config;
  std::vector<std::string> problems;
};

ReadConfig read(const std::string& keys, bool chosen = true) {
  const auto file = ConfigFile::from_text("[source.iq]\n" + keys, "s.toml");
  EXPECT_TRUE(file.ok()) << file.error();
  ReadConfig r;
  r.config = read_iq_input_config(file->root().table("source").table("iq"), chosen);
  r.problems = file->problems();
  return r;
}

TEST(IqInputConfig, ARecordingNeedsItsPathAndNothingElse) {
  const auto r = read(
      "path = \"/var/scene\"\n[source.iq.recording]\npace = \"present\"\n"
      "start = \"2031-05-04T10:00:00Z\"\n");
  EXPECT_THAT(r.problems, IsEmpty());
  EXPECT_EQ(r.config.kind, IqInputKind::recording);
  EXPECT_EQ(r.config.recording.path, "/var/scene");
  EXPECT_EQ(r.config.recording.pace, Pace::present);
  EXPECT_EQ(format_rfc3339(*r.config.recording.hints.start), "2031-05-04T10:00:00.000Z");
  EXPECT_EQ(r.config.recording.hints.elements, 0U);
}

TEST(IqInputConfig, AFeedIsReadAsItIsDeclared) {
  const auto r = read(
      "input = \"tcp\"\naddress = \"127.0.0.1:7001\"\ntype = \"ci16_be\"\n"
      "elements = 5\nrate_hz = 2.4e6\ncentre_hz = 155.5e6\nblock_frames = 4096\n");
  EXPECT_THAT(r.problems, IsEmpty());
  EXPECT_EQ(r.config.kind, IqInputKind::feed);
  EXPECT_EQ(r.config.feed.address.kind, FeedKind::tcp);
  EXPECT_EQ(r.config.feed.address.place, "127.0.0.1:7001");
  EXPECT_EQ(to_string(r.config.feed.type), "ci16_be");
  EXPECT_EQ(r.config.feed.elements, 5U);
  EXPECT_EQ(r.config.feed.rate_hz, 2.4e6);
  EXPECT_EQ(r.config.feed.centre_hz, 155.5e6);
  EXPECT_EQ(r.config.feed.block_frames, 4096U);
}

TEST(IqInputConfig, ADeviceIsReadAsItIsDeclared) {
  const auto r = read(
      "input = \"device\"\nelements = 5\nrate_hz = 2.4e6\ncentre_hz = 155.5e6\n"
      "[source.iq.device]\narguments = \"driver=x\"\ngain_db = 29.7\n"
      "antenna = \"A\"\nclock_source = \"external\"\ntime = \"device\"\n");
  EXPECT_THAT(r.problems, IsEmpty());
  const DeviceConfig& device = r.config.device;
  EXPECT_EQ(r.config.kind, IqInputKind::device);
  EXPECT_EQ(device.settings.arguments, "driver=x");
  EXPECT_EQ(device.settings.gain_db, 29.7);
  EXPECT_EQ(device.settings.antenna, "A");
  EXPECT_EQ(device.settings.clock_source, "external");
  EXPECT_EQ(device.settings.elements, 5U);
  EXPECT_EQ(device.time, DeviceTime::device);
}

TEST(IqInputConfig, WhatAnInputNeedsIsAskedForOnlyWhereItIsChosen) {
  EXPECT_THAT(read("", false).problems, IsEmpty());
  EXPECT_THAT(read("").problems, ElementsAre(testing::HasSubstr("source.iq.path")));
  EXPECT_THAT(read("input = \"tcp\"\n").problems,
              testing::UnorderedElementsAre(testing::HasSubstr("source.iq.address"),
                                            testing::HasSubstr("source.iq.elements"),
                                            testing::HasSubstr("source.iq.rate_hz"),
                                            testing::HasSubstr("source.iq.centre_hz")));
}

TEST(IqInputConfig, BadValuesAreNamed) {
  const auto r = read(
      "path = \"x\"\ntype = \"cf32\"\nelements = 33\n"
      "[source.iq.recording]\npace = \"slow\"\nstart = \"noon\"\n");
  EXPECT_THAT(
      r.problems,
      ElementsAre(testing::HasSubstr("s.toml:3: source.iq.type = \"cf32\": must be c or r"),
                  testing::HasSubstr("s.toml:4: source.iq.elements = 33: must be 1 to 32"),
                  testing::HasSubstr("s.toml:6: source.iq.recording.pace = \"slow\""),
                  testing::HasSubstr("s.toml:7: source.iq.recording.start = \"noon\": must be a")));
}

}  // namespace
}  // namespace fixwright::agent::iq
