/// Bad input at the edges of the real programs: one line each, nothing else lost.

#include <fmt/core.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <signal.h>

#include "server/base/clock.hpp"
#include "tests/e2e/network.hpp"

namespace fixwright::e2e {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;

constexpr const char* kMapping = "[source.lines.text]\nformat = \"json\"\n";

std::string line(const std::string& azimuth, const std::string& sigma, TimePoint at,
                 const std::string& frequency = "433920000") {
  return fmt::format(
      "{{\"time\": \"{}\", \"frequency_hz\": {}, \"azimuth_deg\": {}, \"sigma_deg\": {}}}\n",
      format_rfc3339(at, 3), frequency, azimuth, sigma);
}

int starts_and_ends(const Network& network, const std::string& toml, std::string& log) {
  const std::filesystem::path config = network.folder() / "other.toml";
  const std::filesystem::path output = network.folder() / "other.log";
  write_file(config, toml);
  const int code =
      run({FIXWRIGHT_SERVER, "--config", config.string()}, output, std::chrono::seconds{30});
  log = read_file(output);
  return code;
}

TEST(Refusals, WhatIsWrongWithALineIsSaidAndTheNextLineIsTaken) {
  Network network("");
  network.add_station("WEST", {41.0, -150.5});
  network.start_server();
  const TimePoint now = SystemClock{}.now();
  const std::string lines = line("361", "1", now) + line("10", "0", now) +
                            line("10", "\"NaN\"", now) + line("10", "1", now, "0") +
                            line("10", "1", now + std::chrono::hours{1}) + "{\"time\": \"20\n" +
                            std::string(10'000'000, 'x') + "\n" + "\xff\xfe\xfd\n" +
                            line("45", "1", now);
  Process& agent = network.start_agent("WEST", lines, kMapping);
  ASSERT_EQ(agent.wait(std::chrono::seconds{60}), 0) << agent.log();
  EXPECT_EQ(network.sql("SELECT azimuth_deg FROM bearing").size(), 1U) << agent.log();
  EXPECT_EQ(network.sql("SELECT azimuth_deg FROM bearing").at(0)[0].as<double>(), 45.0);
  const std::string log = agent.log();
  for (const char* said : {"361", "sigma", "frequency", "ahead of the server's clock",
                           "one whole JSON object", "max_line_bytes", "UTF-8"}) {
    EXPECT_THAT(log, HasSubstr(said));
  }
  EXPECT_EQ(network.stop_server(), 0);
}

TEST(Refusals, ASecondAgentOfTheSameNameIsToldSo) {
  Network network("");
  network.add_station("WEST", {41.0, -150.5});
  network.start_server();
  const TimePoint now = SystemClock{}.now();
  Process& first = network.start_agent("WEST", line("45", "1", now), kMapping, true);
  ASSERT_TRUE(wait_until(std::chrono::seconds{30}, [&] {
    return network.server_log().find("WEST connected") != std::string::npos;
  }));
  Process& second = network.start_agent("WEST", line("46", "1", now), kMapping, true);
  EXPECT_TRUE(wait_until(std::chrono::seconds{30}, [&] {
    return second.log().find("another agent is connected under this name") != std::string::npos;
  })) << second.log();
  first.signal(SIGTERM);
  second.signal(SIGTERM);
  EXPECT_EQ(network.stop_server(), 0);
}

TEST(Refusals, AnAgentOfAnUnknownStationIsToldWhoCanHelp) {
  Network network("");
  network.add_station("WEST", {41.0, -150.5});
  network.start_server();
  Process& agent = network.start_agent("NOWHERE", line("45", "1", SystemClock{}.now()), kMapping);
  EXPECT_TRUE(wait_until(std::chrono::seconds{30}, [&] {
    return agent.log().find("[[station]]") != std::string::npos;
  })) << agent.log();
  agent.signal(SIGTERM);
  EXPECT_EQ(network.stop_server(), 0);
}

TEST(Refusals, AnUnknownKeyIsNamedWithTheNearestKnownOneAndNothingStarts) {
  const Network network("");
  std::string log;
  EXPECT_EQ(starts_and_ends(network, "[database]\nconnection = \"\"\n[align]\nslak_s = 2\n", log),
            2);
  EXPECT_THAT(log, AllOf(HasSubstr("other.toml:4"), HasSubstr("align.slak_s"),
                         HasSubstr("align.slack_s"), HasSubstr("Nothing was started")));
}

TEST(Refusals, WithoutADatabaseTheServerSaysSoAndEnds) {
  const Network network("");
  std::string log;
  EXPECT_EQ(starts_and_ends(network,
                            "[database]\nconnection = \"host=/nonexistent dbname=none\"\n"
                            "connect_timeout_s = 2\n",
                            log),
            1);
  EXPECT_THAT(log, AllOf(HasSubstr("/nonexistent"), HasSubstr("Nothing was started")));
}

TEST(Refusals, AnotherSchemaVersionIsRefusedWithTheRemedy) {
  Network network("");
  network.sql("INSERT INTO schema_version (version) VALUES (999)");
  EXPECT_THAT([&] { network.start_server(); },
              ::testing::ThrowsMessage<std::runtime_error>(AllOf(
                  HasSubstr("database schema is version 999"), HasSubstr("deploy/UPGRADING.md"))));
}

TEST(Refusals, APortInUseIsNamed) {
  Network network("");
  network.start_server();
  std::string log;
  const int code = starts_and_ends(
      network,
      fmt::format("[database]\nconnection = \"{}\"\n[rpc]\nlisten = \"127.0.0.1:{}\"\n"
                  "[web]\nport = 0\npage_folder = \"{}\"\n",
                  network.database().writer(), network.rpc_port(),
                  (network.folder() / "page").string()),
      log);
  EXPECT_EQ(code, 1);
  EXPECT_THAT(log, AllOf(HasSubstr(std::to_string(network.rpc_port())), HasSubstr("in use")));
  EXPECT_EQ(network.stop_server(), 0);
}

}  // namespace
}  // namespace fixwright::e2e
