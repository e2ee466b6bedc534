#include "server/store/result_writer.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/store/bearing_store.hpp"
#include "server/store/reader.hpp"
#include "server/store/small_tables.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

class ResultWriterTest : public testing::Test {
 protected:
  ResultWriterTest() { store::register_stations(pool, osmere_stations()); }

  std::string count(const std::string& table) {
    return value(database.owner(), "SELECT count(*) FROM " + table);
  }

  ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
  store::ResultWriter writer{pool};
  store::Reader reader{pool};
  const TimePoint noon = at("2031-05-04T12:00:00.123456789Z");
};

BearingOnly sample_line(TimePoint start) {
  BearingOnly line;
  line.key = {14, start.time_since_epoch().count(), 1};
  line.station_position = {41.43, -150.45};
  line.azimuth_deg = 211.5;
  line.sigma_deg = 1.25;
  line.frequency_hz = 433.92e6;
  line.first_heard = line.last_heard = start;
  line.bearings = 12;
  line.transmissions = 3;
  return line;
}

store::ResultBatch one_of_each(TimePoint start) {
  store::ResultBatch batch;
  const EmitterKey emitter{12, 5};
  Transmission t;
  t.key = {12, start};
  t.end = start + std::chrono::seconds(1);
  t.bearings = {plain_bearing(1, 7, 1, start), plain_bearing(2, 8, 1, start),
                plain_bearing(1, 7, 2, start + Duration{1'000'000})};
  Fix f = sample_fix(12, start);
  f.bearings = {{{1, 7, 1}, 0.5, true}, {{2, 8, 1}, -80.25, false}};
  f.emitter = emitter;
  batch.transmissions = {t};
  batch.fixes = {f};
  batch.emitters = {sample_emitter(12, 5)};
  batch.events = {{emitter, start, EmitterEventKind::born, "three stations agree"}};
  batch.track_points = {{emitter, start, {41.2, -150.3}, {100, 10, 90}, {12.5, 181.0, 0.5}}};
  batch.matches = {{emitter, RegisterVerdict::registered, 0.97, "OSM-12", 140.0}};
  batch.alerts = {{"station_silent/1", "station_silent", AlertSeverity::warning, start,
                   std::nullopt, StationId{1}, "station LANTERN-HEAD is silent"},
                  {"new/12/5", "new_unregistered_emitter", AlertSeverity::notice,
                   start + std::chrono::seconds(1), emitter, std::nullopt, "a new emitter"}};
  batch.bearing_only = {sample_line(start)};
  batch.memories = {{12, start, std::string("\0\xFFsums", 6)}, {13, start, "x"}};
  return batch;
}

std::vector<std::string> dump(const std::string& connection) {
  std::vector<std::string> lines;
  for (const std::string table :
       {"transmission", "fix", "fix_bearing", "emitter", "emitter_event", "track_point",
        "bearing_only", "register_match", "alert", "emitter_memory"}) {
    for (const std::string& line :
         rows(connection, "SELECT t::text FROM " + table + " AS t ORDER BY 1")) {
      lines.push_back(table + line);
    }
  }
  return lines;
}

TEST_F(ResultWriterTest, WritingTwiceChangesNothing) {
  writer.write(one_of_each(noon));
  const auto once = dump(database.owner());
  EXPECT_EQ(once.size(), 13U);  // two fix_bearing, alerts and memories, one of the seven others
  writer.write(one_of_each(noon));
  EXPECT_EQ(dump(database.owner()), once);
}

TEST_F(ResultWriterTest, EmptyBatchDoesNothing) {
  writer.write({});
  EXPECT_THAT(dump(database.owner()), IsEmpty());
}

TEST_F(ResultWriterTest, TransmissionNamesItsStationsOnce) {
  writer.write(one_of_each(noon));
  EXPECT_THAT(rows(database.owner(),
                   "SELECT transmission_id, start_at AT TIME ZONE 'UTC', bearings, stations "
                   "FROM transmission"),
              ElementsAre(std::to_string(noon.time_since_epoch().count()) +
                          "|2031-05-04 12:00:00.123456|3|{1,2}"));
}

TEST_F(ResultWriterTest, OlderRevisionNeverOverwritesANewerOne) {
  store::ResultBatch newer = one_of_each(noon);
  newer.transmissions[0].revision = newer.fixes[0].revision = newer.emitters[0].revision = 3;
  newer.fixes[0].bearings.pop_back();
  writer.write(newer);
  const auto before = dump(database.owner());
  store::ResultBatch older = one_of_each(noon);
  older.transmissions[0].revision = older.fixes[0].revision = older.emitters[0].revision = 2;
  older.fixes[0].solution.position = {41.0, -150.0};
  older.emitters[0].state = EmitterState::tentative;
  writer.write(older);
  EXPECT_EQ(dump(database.owner()), before);
}

TEST_F(ResultWriterTest, NewerRevisionReplacesTheFixAndItsBearings) {
  store::ResultBatch batch = one_of_each(noon);
  writer.write(batch);
  batch.fixes[0].revision = 2;
  batch.fixes[0].state = ResultState::final;
  batch.fixes[0].bearings = {{{4, 9, 3}, 0.25, true}};
  writer.write(batch);
  EXPECT_THAT(rows(database.owner(), "SELECT revision, state FROM fix"), ElementsAre("2|final"));
  EXPECT_THAT(rows(database.owner(), "SELECT station_id, stream_id, sequence FROM fix_bearing"),
              ElementsAre("4|9|3"));
}

TEST_F(ResultWriterTest, HighestRevisionOfABatchCountsWhateverTheOrder) {
  Fix first = sample_fix(12, noon);
  Fix second = first;
  second.revision = 2;
  second.stations = 4;
  store::ResultBatch batch;
  batch.fixes = {second, first};
  writer.write(batch);
  EXPECT_THAT(rows(database.owner(), "SELECT revision, stations FROM fix"), ElementsAre("2|4"));
}

TEST_F(ResultWriterTest, WithdrawnFixStaysAsATombstoneAndPeopleNoLongerSeeIt) {
  store::ResultBatch batch = one_of_each(noon);
  writer.write(batch);
  batch.fixes[0].revision = 2;
  batch.fixes[0].state = ResultState::withdrawn;
  batch.fixes[0].bearings.clear();
  writer.write(batch);
  EXPECT_THAT(rows(database.owner(), "SELECT revision, state FROM fix"),
              ElementsAre("2|withdrawn"));
  EXPECT_EQ(count("fix_bearing"), "0");
  EXPECT_EQ(value(database.reader(), "SELECT count(*) FROM fix_latest"), "0");
  EXPECT_THAT(reader.fixes({12, 5}, 10), IsEmpty());
}

TEST_F(ResultWriterTest, RefusedFixHasItsReasonAndNoPosition) {
  Fix f = sample_fix(12, noon);
  f.solution = refused_solution(Refusal::poor_geometry);
  store::ResultBatch batch;
  batch.fixes = {f};
  writer.write(batch);
  EXPECT_THAT(rows(database.owner(),
                   "SELECT refusal, position IS NULL, semi_major_m IS NULL, crossing_deg "
                   "FROM fix"),
              ElementsAre("poor_geometry|t|t|1.8"));
}

TEST_F(ResultWriterTest, AcknowledgedAlertStaysAcknowledgedWhenRaisedAgain) {
  writer.write(one_of_each(noon));
  EXPECT_TRUE(writer.acknowledge_alert("new/12/5", noon, "watch officer"));
  EXPECT_FALSE(writer.acknowledge_alert("new/12/5", noon, "somebody else"));
  EXPECT_FALSE(writer.acknowledge_alert("no such alert", noon, "watch officer"));
  store::ResultBatch again = one_of_each(noon);
  again.alerts[1].message = "revised";
  writer.write(again);
  EXPECT_THAT(rows(database.owner(),
                   "SELECT message, acknowledged_by FROM alert WHERE alert_id = 'new/12/5'"),
              ElementsAre("revised|watch officer"));
  const auto open = reader.open_alerts();
  ASSERT_EQ(open.size(), 1U);
  EXPECT_EQ(open[0].alert.id, "station_silent/1");
}

TEST_F(ResultWriterTest, TextOfAnyKindIsDataAndNeverSql) {
  const std::string nasty = "'); DROP TABLE fix; -- \"{},\\\" NULL \n é $1";
  store::ResultBatch batch;
  batch.events = {{{12, 5}, noon, EmitterEventKind::moved, nasty}};
  batch.alerts = {{nasty, nasty, AlertSeverity::urgent, noon, std::nullopt, std::nullopt, nasty},
                  {"null", "NULL", AlertSeverity::urgent, noon, std::nullopt, std::nullopt, ""}};
  writer.write(batch);
  EXPECT_EQ(value(database.owner(), "SELECT evidence FROM emitter_event"), nasty);
  const auto alerts = reader.open_alerts();
  ASSERT_EQ(alerts.size(), 2U);
  EXPECT_EQ(alerts[0].alert.id, nasty);
  EXPECT_EQ(alerts[0].alert.message, nasty);
  EXPECT_EQ(alerts[1].alert.rule, "NULL");
  EXPECT_EQ(alerts[1].alert.message, "");
}

TEST_F(ResultWriterTest, BrokenRuleIsRefusedInOneLineAndNothingOfTheBatchStays) {
  store::ResultBatch batch = one_of_each(noon);
  batch.emitters[0].fix.covariance = {1.0, 2.0, 1.0};  // not positive definite
  try {
    writer.write(batch);
    FAIL() << "a covariance that is none was stored";
  } catch (const store::DatabaseRefused& e) {
    EXPECT_THAT(e.what(), testing::HasSubstr("emitter_covariance_is_positive_definite"));
    EXPECT_EQ(std::string(e.what()).find('\n'), std::string::npos);
  }
  EXPECT_THAT(dump(database.owner()), IsEmpty());
}

TEST_F(ResultWriterTest, TrackPointThatIsWithdrawnGoesUnlessItIsToldAgain) {
  store::ResultBatch batch = one_of_each(noon);
  TrackPoint later = batch.track_points.front();
  later.at += std::chrono::seconds(5);
  batch.track_points.push_back(later);
  writer.write(batch);
  EXPECT_EQ(count("track_point"), "2");
  store::ResultBatch gone;
  gone.track_points = batch.track_points;
  for (TrackPoint& p : gone.track_points) p.withdrawn = true;
  gone.track_points.push_back(batch.track_points.front());
  writer.write(gone);
  EXPECT_THAT(rows(database.owner(), "SELECT at = '2031-05-04 12:00:00.123456Z' FROM track_point"),
              ElementsAre("t"));
}

TEST_F(ResultWriterTest, LineOfOneStationIsSeenUntilItIsLocated) {
  store::ResultBatch batch;
  batch.bearing_only = {sample_line(noon)};
  writer.write(batch);
  const std::string seen =
      "SELECT station_id, channel_id, state, azimuth_deg, sigma_deg, bearings, transmissions, "
      "emitter_id, round(ST_Length(line::geography)) FROM bearing_only_list";
  EXPECT_THAT(rows(database.reader(), seen), ElementsAre("1|14|waiting|211.5|1.25|12|3||50000"));
  BearingOnly& line = batch.bearing_only.front();
  line.revision = 2;
  line.state = BearingOnlyState::located;
  line.emitter = EmitterKey{14, 77};
  writer.write(batch);
  line.revision = 1;
  line.state = BearingOnlyState::ended;
  line.emitter.reset();
  writer.write(batch);  // an older revision: nothing
  EXPECT_THAT(rows(database.reader(), seen), ElementsAre("1|14|located|211.5|1.25|12|3|77|50000"));
}

TEST_F(ResultWriterTest, ServerThatStartsEndsLinesThatItWillMakeAnew) {
  store::ResultBatch batch;
  batch.bearing_only = {sample_line(noon - std::chrono::hours(2)), sample_line(noon)};
  writer.write(batch);
  writer.withdraw_pending(noon - std::chrono::hours(1));
  EXPECT_THAT(rows(database.reader(), "SELECT state FROM bearing_only_list ORDER BY first_heard"),
              ElementsAre("waiting", "ended"));
}

TEST_F(ResultWriterTest, MemoryIsReplacedWholeAndForgottenWhenThereIsNothing) {
  writer.write(one_of_each(noon));
  const auto memories = reader.memories();
  ASSERT_EQ(memories.size(), 2U);
  EXPECT_EQ(memories[0].channel, 12);
  EXPECT_EQ(memories[0].through, noon);  // to the nanosecond
  EXPECT_EQ(memories[0].state, std::string("\0\xFFsums", 6));
  store::ResultBatch batch;
  batch.memories = {{12, noon, "old"}, {12, noon + Duration{1}, "new"}, {13, noon, ""}};
  writer.write(batch);
  const auto after = reader.memories();
  ASSERT_EQ(after.size(), 1U);
  EXPECT_EQ(after[0].state, "new");
  EXPECT_EQ(after[0].through, noon + Duration{1});
}

}  // namespace
}  // namespace fixwright::test
