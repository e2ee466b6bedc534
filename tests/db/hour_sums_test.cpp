/// The sums by the hour, written bit by bit, against the recount of sql/checks.

#include <fmt/core.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <random>
#include <sstream>

#include "server/store/bearing_store.hpp"
#include "server/store/small_tables.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

class HourSumsTest : public testing::Test {
 protected:
  HourSumsTest() { store::register_stations(pool, osmere_stations()); }

  /// What the recount finds amiss.
  std::vector<std::string> differences() {
    std::ostringstream query;
    query << std::ifstream(std::string(FIXWRIGHT_SOURCE_DIR) + "/sql/checks/hour_sums_differ.sql")
                 .rdbuf();
    return rows(owner, query.str());
  }

  std::vector<std::string> sums() {
    std::vector<std::string> lines;
    for (const std::string view :
         {"station_by_hour", "channel_by_hour", "emitter_by_hour", "hearing_by_hour"}) {
      for (const auto& line : rows(owner, "SELECT v::text FROM " + view + " AS v ORDER BY 1")) {
        lines.push_back(view + line);
      }
    }
    return lines;
  }

  ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
  store::BearingStore bearings{pool};
  store::ResultWriter writer{pool};
  pqxx::connection owner{database.owner() + " options='-c timezone=UTC'"};
  const TimePoint noon = at("2031-05-04T12:00:00Z");
};

using std::chrono::milliseconds;
using std::chrono::minutes;
using std::chrono::seconds;

/// A transmission with one fix of emitter (12, id), which stations 1 and 2 heard.
store::ResultBatch heard(TimePoint start, Duration length, std::int64_t id,
                         std::uint32_t revision) {
  store::ResultBatch batch;
  Transmission t;
  t.key = {12, start};
  t.end = start + length;
  t.revision = revision;
  t.bearings = {plain_bearing(1, 7, 1, start), plain_bearing(2, 8, 1, start)};
  Fix f = sample_fix(12, start);
  f.revision = revision;
  f.emitter = {12, id};
  f.bearings = {{{1, 7, 1}, 0.5, true}, {{2, 8, 1}, -0.25, true}, {{3, 9, 1}, 80.0, false}};
  batch.transmissions = {t};
  batch.fixes = {f};
  return batch;
}

TEST_F(HourSumsTest, BearingCountsOnceHoweverOftenItIsSent) {
  const std::vector<Bearing> sent{plain_bearing(1, 7, 1, noon + seconds(59)),
                                  plain_bearing(1, 7, 2, noon + minutes(59)),
                                  plain_bearing(1, 7, 3, noon + minutes(60))};
  bearings.append(sent);
  bearings.append(sent);
  bearings.append(std::vector{plain_bearing(1, 7, 3, noon + minutes(60)),
                              plain_bearing(1, 7, 4, noon + minutes(1))});  // late
  EXPECT_THAT(
      rows(owner, "SELECT station, hour, bearings, minutes FROM station_by_hour ORDER BY 2"),
      ElementsAre("LANTERN-HEAD|2031-05-04 12:00:00+00|3|3",
                  "LANTERN-HEAD|2031-05-04 13:00:00+00|1|1"));
  EXPECT_THAT(differences(), IsEmpty());
}

TEST_F(HourSumsTest, TransmissionOverTheHourIsSplitAndStartsOnce) {
  writer.write(heard(noon - seconds(2), seconds(5), 5, 1));
  EXPECT_THAT(rows(owner, "SELECT hour, transmissions, busy_s FROM channel_by_hour ORDER BY 1"),
              ElementsAre("2031-05-04 11:00:00+00|1|2", "2031-05-04 12:00:00+00|0|3"));
  EXPECT_THAT(
      rows(owner, "SELECT emitter_id, transmissions, on_s FROM emitter_by_hour ORDER BY hour"),
      ElementsAre("5|1|2", "5|0|3"));
  EXPECT_THAT(rows(owner, "SELECT station, transmissions FROM hearing_by_hour ORDER BY 1"),
              ElementsAre("LANTERN-HEAD|1", "MOSS-RIDGE|1"));
}

TEST_F(HourSumsTest, WritingTwiceOrAnOlderRevisionChangesNothing) {
  writer.write(heard(noon, seconds(5), 5, 3));
  const auto once = sums();
  writer.write(heard(noon, seconds(5), 5, 3));
  EXPECT_EQ(sums(), once);
  writer.write(heard(noon, seconds(50), 6, 2));
  EXPECT_EQ(sums(), once);
  EXPECT_THAT(differences(), IsEmpty());
}

TEST_F(HourSumsTest, ALongerTransmissionAloneMovesItsEmittersSum) {
  writer.write(heard(noon, seconds(5), 5, 1));
  store::ResultBatch longer = heard(noon, seconds(8), 5, 2);
  longer.fixes.clear();
  writer.write(longer);
  EXPECT_THAT(rows(owner, "SELECT emitter_id, transmissions, on_s FROM emitter_by_hour"),
              ElementsAre("5|1|8"));
}

TEST_F(HourSumsTest, FixThatGoesToAnotherEmitterTakesItsTimeAlong) {
  writer.write(heard(noon, seconds(5), 5, 1));
  writer.write(heard(noon, seconds(5), 6, 2));
  EXPECT_THAT(rows(owner, "SELECT emitter_id, transmissions, on_s FROM emitter_by_hour"),
              ElementsAre("6|1|5"));
  EXPECT_THAT(rows(owner, "SELECT DISTINCT emitter_id FROM hearing_by_hour"), ElementsAre("6"));
}

TEST_F(HourSumsTest, WithdrawnResultsAreTakenOut) {
  writer.write(heard(noon, seconds(5), 5, 1));
  store::ResultBatch gone = heard(noon, seconds(5), 5, 2);
  gone.transmissions[0].state = gone.fixes[0].state = ResultState::withdrawn;
  gone.fixes[0].bearings.clear();
  writer.write(gone);
  EXPECT_THAT(sums(), IsEmpty());
  EXPECT_THAT(differences(), IsEmpty());
}

TEST_F(HourSumsTest, WhatAStartWithdrawsIsTakenOutAndWhatIsFinalStays) {
  writer.write(heard(noon, seconds(5), 5, 1));
  store::ResultBatch settled = heard(noon + minutes(5), seconds(4), 5, 1);
  settled.transmissions[0].state = settled.fixes[0].state = ResultState::final;
  writer.write(settled);
  writer.withdraw_pending(noon);
  EXPECT_THAT(rows(owner, "SELECT emitter_id, transmissions, on_s FROM emitter_by_hour"),
              ElementsAre("5|1|4"));
  EXPECT_THAT(differences(), IsEmpty());
}

TEST_F(HourSumsTest, BatchThatIsRefusedChangesNothing) {
  writer.write(heard(noon, seconds(5), 5, 1));
  const auto before = sums();
  store::ResultBatch bad = heard(noon, seconds(9), 5, 2);
  bad.fixes[0].solution.covariance = {1.0, 2.0, 1.0};  // not positive definite
  EXPECT_THROW(writer.write(bad), store::DatabaseRefused);
  EXPECT_EQ(sums(), before);
}

/// A day of small changes: new, revised, resent, stale, given to another emitter, withdrawn.
TEST_F(HourSumsTest, AfterADayOfChangesTheyEqualARecountAndARebuild) {
  std::mt19937 random(20310504);
  const auto pick = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
  for (std::uint32_t round = 1; round <= 120; ++round) {
    store::ResultBatch batch;
    for (int k = 0; k < 6; ++k) {
      // 40 places in 20 h, some a second before an hour's end.
      const TimePoint start = noon + minutes(30 * pick(40)) - seconds(pick(2));
      const auto one = heard(start, milliseconds(1 + pick(9000)), 1 + pick(3),
                             round - static_cast<std::uint32_t>(pick(2)));
      batch.transmissions.push_back(one.transmissions[0]);
      batch.fixes.push_back(one.fixes[0]);
      const bool gone = pick(5) == 0;
      if (gone) batch.fixes.back().state = ResultState::withdrawn;
      if (gone && pick(2) == 0) batch.transmissions.back().state = ResultState::withdrawn;
      if (pick(3) == 0) batch.fixes.back().bearings.pop_back();
      if (pick(4) == 0) batch.fixes.back().bearings.front().used = false;
      if (pick(6) == 0) batch.fixes.back().emitter.reset();
    }
    writer.write(batch);
    if (round % 50 == 0) writer.withdraw_pending(noon);
    if (round % 30 == 0) {
      EXPECT_THAT(differences(), IsEmpty()) << "round " << round;
    }
  }
  const auto kept = sums();
  EXPECT_GT(kept.size(), 40U);
  rows(owner, "SELECT rebuild_hours()");
  EXPECT_EQ(sums(), kept);
}

TEST_F(HourSumsTest, RebuildKeepsTheHoursOfDaysThatWereDropped) {
  bearings.append(std::vector{plain_bearing(1, 7, 1, noon - std::chrono::hours(48)),
                              plain_bearing(1, 7, 2, noon)});
  const auto before = sums();
  rows(owner, "DROP TABLE bearing_20310502");
  rows(owner, "SELECT rebuild_hours()");
  EXPECT_EQ(sums(), before);
}

}  // namespace
}  // namespace fixwright::test
