/// What a restart, a kill and a replay must not change.

#include <fmt/core.h>
#include <gtest/gtest.h>
#include <signal.h>

#include "server/base/clock.hpp"
#include "tests/e2e/network.hpp"

namespace fixwright::e2e {
namespace {

// Agents start one after the other, and each sends what is seconds old: that must not be late.
constexpr const char* kServerToml =
    "[align]\nslack_s = 0.2\nidle_s = 1\nall_idle_s = 1\nlateness_s = 15\n";

constexpr const char* kMapping = "[source.lines.text]\nformat = \"json\"\n";

constexpr GeoPoint kWest{41.00, -150.50};
constexpr GeoPoint kSouth{40.80, -150.20};
constexpr GeoPoint kEast{41.00, -149.90};

/// Bearings of one emitter north of all three stations, five a second.
std::string lines(double azimuth_deg, TimePoint from, int count) {
  std::string text;
  for (int i = 0; i < count; ++i) {
    text += fmt::format(
        "{{\"time\": \"{}\", \"frequency_hz\": 433920000, \"azimuth_deg\": {}, \"sigma_deg\": "
        "1}}\n",
        format_rfc3339(from + std::chrono::milliseconds{200 * i}, 3), azimuth_deg + 0.1 * (i % 3));
  }
  return text;
}

class Recovery : public ::testing::Test {
 protected:
  void SetUp() override {
    network.add_station("WEST", kWest);
    network.add_station("SOUTH", kSouth);
    network.add_station("EAST", kEast);
    network.start_server();
  }

  void send(int count) {
    const TimePoint from = SystemClock{}.now() - std::chrono::milliseconds{200 * count};
    network.start_agent("WEST", lines(48.5, from, count), kMapping);
    network.start_agent("SOUTH", lines(0.0, from, count), kMapping);
    network.start_agent("EAST", lines(311.5, from, count), kMapping);
  }

  bool all_final() {
    return wait_until(std::chrono::seconds{60}, [&] {
      return !network.sql("SELECT 1 FROM fix WHERE state = 'final' LIMIT 1").empty() &&
             network.sql("SELECT 1 FROM fix WHERE state IN ('provisional', 'revised')").empty();
    });
  }

  /// The final fixes as text: every column, every bit that SQL prints.
  std::string final_fixes() {
    return network
        .sql(
            "SELECT coalesce(string_agg(f::text, E'\\n' ORDER BY channel_id, transmission_id, "
            "ordinal), '') FROM final_fix AS f")
        .at(0)[0]
        .as<std::string>();
  }

  Network network{kServerToml};
};

TEST_F(Recovery, AReplayFromTheDatabaseGivesTheSameFinalFixesByteForByte) {
  send(20);
  ASSERT_TRUE(network.wait_for_agents(std::chrono::seconds{60}));
  ASSERT_TRUE(all_final());
  const std::string live = final_fixes();
  ASSERT_NE(live, "");
  ASSERT_EQ(network.stop_server(), 0);
  network.sql(
      "TRUNCATE fix, fix_bearing, transmission, emitter, emitter_event, track_point, "
      "emitter_memory");
  network.start_server();
  ASSERT_TRUE(all_final());
  EXPECT_EQ(final_fixes(), live);
  EXPECT_EQ(network.stop_server(), 0);
}

TEST_F(Recovery, ARestartKeepsEmittersAndTheirIdentity) {
  send(20);
  ASSERT_TRUE(network.wait_for_agents(std::chrono::seconds{60}));
  ASSERT_TRUE(all_final());
  const std::string identity =
      "SELECT channel_id, emitter_id FROM emitter WHERE state <> 'retired'";
  const pqxx::result before = network.sql(identity);
  ASSERT_EQ(before.size(), 1U);
  ASSERT_EQ(network.stop_server(), 0);
  network.start_server();
  send(10);
  ASSERT_TRUE(network.wait_for_agents(std::chrono::seconds{60}));
  ASSERT_TRUE(all_final());
  const pqxx::result after = network.sql(identity);
  ASSERT_EQ(after.size(), 1U);
  EXPECT_EQ(after.at(0)[1].as<std::int64_t>(), before.at(0)[1].as<std::int64_t>());
  // 3 stations, 20 bearings, then 10: the emitter's counts go on over the restart.
  EXPECT_EQ(network.sql("SELECT bearings FROM emitter WHERE state <> 'retired'").at(0)[0].as<int>(),
            90);
  EXPECT_EQ(network.stop_server(), 0);
}

TEST_F(Recovery, AnEmitterIsKnownAgainThoughNoneOfItsBearingsIsInReach) {
  send(20);
  ASSERT_TRUE(network.wait_for_agents(std::chrono::seconds{60}));
  ASSERT_TRUE(all_final());
  const std::string living = "SELECT emitter_id, bearings FROM emitter WHERE state <> 'retired'";
  const pqxx::result before = network.sql(living);
  ASSERT_EQ(before.size(), 1U);
  ASSERT_EQ(network.stop_server(), 0);
  network.sql("TRUNCATE bearing");  // as if recover.hours ended before them
  network.start_server();
  send(10);
  ASSERT_TRUE(network.wait_for_agents(std::chrono::seconds{60}));
  ASSERT_TRUE(wait_until(std::chrono::seconds{60}, [&] {
    const pqxx::result now = network.sql(living);
    return now.size() == 1 && now.at(0)[1].as<int>() == 90;
  }));
  EXPECT_EQ(network.sql(living).at(0)[0].as<std::int64_t>(), before.at(0)[0].as<std::int64_t>());
  ASSERT_TRUE(all_final());
  EXPECT_EQ(network.stop_server(), 0);
}

TEST_F(Recovery, WhatCannotBeRememberedIsOneLineAndIsFoundAnew) {
  send(20);
  ASSERT_TRUE(network.wait_for_agents(std::chrono::seconds{60}));
  ASSERT_TRUE(all_final());
  ASSERT_EQ(network.stop_server(), 0);
  network.sql("UPDATE emitter_memory SET state = substring(state FROM 1 FOR 100)");
  network.start_server();
  EXPECT_NE(network.server_log().find("what was remembered of its emitters can't be used (it is "
                                      "damaged)"),
            std::string::npos)
      << network.server_log();
  EXPECT_TRUE(wait_until(std::chrono::seconds{30}, [&] {
    return network.sql("SELECT 1 FROM emitter WHERE state <> 'retired'").size() == 1;
  }));
  EXPECT_EQ(network.stop_server(), 0);
}

TEST_F(Recovery, ResultsThatWerePendingAtAKillBecomeFinalAfterTheRestart) {
  send(20);
  ASSERT_TRUE(network.wait_for_agents(std::chrono::seconds{60}));
  ASSERT_TRUE(wait_until(std::chrono::seconds{30}, [&] {
    return !network.sql("SELECT 1 FROM fix WHERE state IN ('provisional', 'revised')").empty();
  }));
  network.server().signal(SIGKILL);
  ASSERT_TRUE(network.server().wait(std::chrono::seconds{10}));
  // As if they had been revised often: what the next server makes must not pass for older.
  for (const char* table : {"fix", "transmission", "emitter"}) {
    network.sql(std::string("UPDATE ") + table + " SET revision = 100");
  }
  network.start_server();
  EXPECT_TRUE(all_final());
  EXPECT_EQ(network.sql("SELECT 1 FROM emitter WHERE state <> 'retired'").size(), 1U)
      << network.server_log();
  EXPECT_EQ(network.stop_server(), 0);
}

TEST_F(Recovery, AKilledServerLosesNothingThatAgentsSent) {
  send(40);
  ASSERT_TRUE(wait_until(std::chrono::seconds{60}, [&] {
    return network.sql("SELECT count(*) FROM bearing").at(0)[0].as<int>() > 0;
  }));
  network.server().signal(SIGKILL);
  ASSERT_TRUE(network.server().wait(std::chrono::seconds{10}));
  network.start_server();
  ASSERT_TRUE(network.wait_for_agents(std::chrono::seconds{120}));
  const pqxx::row row =
      network.sql("SELECT count(*), count(DISTINCT (station_id, stream_id, sequence)) FROM bearing")
          .at(0);
  EXPECT_EQ(row[0].as<int>(), 120);
  EXPECT_EQ(row[1].as<int>(), 120);
  EXPECT_EQ(network.stop_server(), 0);
}

}  // namespace
}  // namespace fixwright::e2e
