/// sql/checks: silent about good data, loud about each kind of bad one.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>

#include "server/store/bearing_store.hpp"
#include "server/store/decision_book.hpp"
#include "server/store/small_tables.hpp"
#include "tests/db/command.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

const std::string kSql = std::string(FIXWRIGHT_SOURCE_DIR) + "/sql";

std::string read_file(const std::string& path) {
  std::ostringstream text;
  text << std::ifstream(path).rdbuf();
  return text.str();
}

std::vector<std::string> check_names() {
  std::vector<std::string> names;
  for (const auto& file : std::filesystem::directory_iterator(kSql + "/checks")) {
    names.push_back(file.path().stem());
  }
  std::sort(names.begin(), names.end());
  return names;
}

std::vector<std::string> found(pqxx::connection& owner, const std::string& check) {
  return rows(owner, read_file(kSql + "/checks/" + check + ".sql"));
}

/// One transmission with a fix, an emitter and all that may be said of it; all of it good.
void seed_good(const ScratchDatabase& database) {
  store::Database pool({database.writer(), 1, std::chrono::seconds(5)});
  store::register_stations(pool, osmere_stations());
  const TimePoint noon = at("2031-05-04T12:00:00.123456789Z");
  Transmission t;
  t.key = {12, noon};
  t.state = ResultState::final;
  t.bearings = {plain_bearing(1, 7, 1, noon), full_bearing(2, 8, 1, noon + Duration{400})};
  t.end = t.bearings[1].end();
  store::BearingStore(pool).append(t.bearings);

  Fix f = sample_fix(12, noon);
  f.state = ResultState::final;
  f.stations = 2;
  f.bearings = {{{1, 7, 1}, 0.5, true}, {{2, 8, 1}, -0.25, true}};
  f.emitter = {12, 5};
  Fix refused = sample_fix(12, noon, 1);
  refused.solution = refused_solution(Refusal::ambiguous);
  Emitter e = sample_emitter(12, 5);
  e.fix.region_kind = RegionKind::likelihood;
  e.fix.region = {{41.1, -150.4}, {41.1, -150.2}, {41.3, -150.3}, {41.1, -150.4}};
  store::ResultBatch batch;
  batch.transmissions = {t};
  batch.fixes = {f, refused};
  batch.emitters = {e, sample_emitter(13, 6)};
  batch.events = {{{12, 5}, noon, EmitterEventKind::born, "two stations agree"}};
  batch.track_points = {{{12, 5}, noon, {41.2, -150.3}, {100, 10, 90}, {12.5, 181.0, 0.5}}};
  batch.matches = {{{12, 5}, RegisterVerdict::registered, 0.97, "OSM-12", 140.0}};
  batch.alerts = {{"a", "station_silent", AlertSeverity::warning, noon, std::nullopt, StationId{1},
                   "station LANTERN-HEAD is silent"}};
  store::ResultWriter(pool).write(batch);
  EmitterDecision rename;
  rename.by = "mara";
  rename.kind = DecisionKind::rename;
  rename.emitter = {12, 5};
  rename.name = "mast";
  ASSERT_TRUE(store::DecisionBook(pool).decide(rename));
}

/// How to spoil good data so that a check must find it. Constraints that would stop the
/// spoiling are dropped first: a check is the second line.
const std::map<std::string, std::vector<std::string>> kSpoilers{
    {"bearing_out_of_range",
     {"UPDATE bearing SET azimuth_deg = 361 WHERE station_id = 1",
      "UPDATE bearing SET azimuth_deg = 'NaN' WHERE station_id = 1",
      "UPDATE bearing SET sigma_deg = 0 WHERE station_id = 1",
      "UPDATE bearing SET frequency_hz = 'NaN' WHERE station_id = 1",
      "UPDATE bearing SET start_ns = 1000 WHERE station_id = 1",
      "UPDATE bearing SET integration_ns = -1 WHERE station_id = 1",
      "UPDATE bearing SET station_longitude_deg = NULL WHERE station_id = 2",
      "UPDATE bearing SET alternative_weight = '{1}' WHERE station_id = 2"}},
    {"bearing_twice", {"INSERT INTO bearing SELECT * FROM bearing WHERE station_id = 1"}},
    {"bearing_of_unknown_station", {"UPDATE bearing SET station_id = 77 WHERE station_id = 1"}},
    {"bearing_beyond_mark",
     {"UPDATE bearing SET sequence = 2 WHERE station_id = 1",
      "DELETE FROM stream_mark WHERE station_id = 1"}},
    {"hour_sums_differ",
     {"UPDATE station_hour SET bearings = bearings + 1", "UPDATE station_hour SET minutes = 2",
      "DELETE FROM station_hour", "UPDATE channel_hour SET transmissions = 0",
      "UPDATE channel_hour SET busy_us = busy_us + 1", "DELETE FROM emitter_hour",
      "UPDATE emitter_hour SET on_us = 0", "UPDATE hearing_hour SET transmissions = 2",
      "UPDATE hearing_hour SET residual_udeg = 0", "UPDATE hearing_hour SET bearings = 2",
      "DELETE FROM hearing_hour WHERE station_id = 2",
      "INSERT INTO hearing_hour VALUES (12, 5, '2031-05-04 11:00Z', 1, 1, 1, 0)"}},
    {"mark_beyond_bearings",
     {"DELETE FROM bearing WHERE station_id = 1",
      "UPDATE stream_mark SET sequence = 9 WHERE station_id = 1"}},
    {"mark_counts_too_few", {"UPDATE stream_mark SET bearings = 0 WHERE station_id = 1"}},
    {"covariance_not_positive_definite",
     {"UPDATE fix SET covariance_en_m2 = 1e9 WHERE refusal = 'none'",
      "UPDATE fix SET covariance_ee_m2 = NULL WHERE refusal = 'none'",
      "UPDATE emitter SET covariance_nn_m2 = -1",
      "UPDATE emitter SET covariance_ee_m2 = 'infinity'",
      "UPDATE emitter SET covariance_ee_m2 = 'NaN'",
      "UPDATE track_point SET covariance_nn_m2 = 0"}},
    {"ellipse_out_of_range",
     {"UPDATE fix SET semi_minor_m = 401 WHERE refusal = 'none'",
      "UPDATE fix SET orientation_deg = 180 WHERE refusal = 'none'",
      "UPDATE emitter SET probability = 1", "UPDATE emitter SET semi_major_m = NULL"}},
    {"ellipse_not_of_covariance",
     {"UPDATE fix SET semi_major_m = semi_major_m * 1.001 WHERE refusal = 'none'",
      "UPDATE fix SET orientation_deg = 31 WHERE refusal = 'none'",
      "UPDATE fix SET probability = 0.94 WHERE refusal = 'none'",
      "UPDATE emitter SET covariance_en_m2 = 0 WHERE channel_id = 13"}},
    {"position_and_refusal",
     {"UPDATE fix SET refusal = 'ambiguous' WHERE refusal = 'none'",
      "UPDATE fix SET refusal = 'none'", "UPDATE emitter SET position = NULL"}},
    {"region_missing_or_broken",
     {"UPDATE emitter SET region = NULL",
      "UPDATE fix SET region = 'POLYGON((0 0, 1 1, 1 0, 0 1, 0 0))'",
      "UPDATE fix SET region_kind = 'likelihood' WHERE refusal = 'none'"}},
    {"fix_without_transmission", {"DELETE FROM transmission"}},
    {"fix_without_emitter", {"UPDATE fix SET emitter_id = 404"}},
    {"fix_bearing_orphan", {"DELETE FROM fix WHERE ordinal = 0"}},
    {"fix_counts_other_stations",
     {"UPDATE fix SET stations = 3", "UPDATE fix_bearing SET used = false WHERE station_id = 1"}},
    {"time_backwards",
     {"UPDATE transmission SET end_at = start_at - interval '1 second'",
      "UPDATE transmission SET start_at = start_at - interval '1 microsecond'",
      "UPDATE emitter SET last_heard = first_heard - interval '1 second'"}},
    {"emitter_unknown",
     {"UPDATE emitter_event SET emitter_id = 404", "UPDATE track_point SET emitter_id = 404",
      "UPDATE emitter_name SET emitter_id = 404", "UPDATE emitter_decision SET emitter_id = 404",
      "UPDATE register_match SET emitter_id = 404",
      "INSERT INTO register_opinion (channel_id, emitter_id, opinion, note, decided_by, "
      "decided_at) "
      "VALUES (12, 404, 1, 'x', 'y', now())",
      "UPDATE alert SET channel_id = 12, emitter_id = 404"}},
    {"register_match_incomplete",
     {"UPDATE register_match SET licence_id = NULL, distance_m = NULL, frequency_offset_hz = NULL",
      "UPDATE register_match SET distance_m = NULL", "UPDATE register_match SET distance_m = -1"}},
    {"never_settled",
     {"INSERT INTO transmission SELECT channel_id, transmission_id - 90000000000000, revision, "
      "'revised', start_at - interval '25 hours', end_at - interval '25 hours', bearings, "
      "stations FROM transmission"}},
};

void drop_constraints(pqxx::connection& owner) {
  for (const std::string& statement :
       rows(owner,
            "SELECT format('ALTER TABLE %s DROP CONSTRAINT %I', conrelid::regclass, conname) "
            "FROM pg_constraint WHERE contype = 'c' "
            "AND connamespace = 'public'::regnamespace AND conrelid IN "
            "('fix'::regclass, 'emitter'::regclass, 'track_point'::regclass)")) {
    rows(owner, statement);
  }
}

TEST(Checks, SayNothingAboutAnEmptyDatabase) {
  const ScratchDatabase database;
  pqxx::connection owner(database.owner());
  for (const std::string& check : check_names()) {
    EXPECT_THAT(found(owner, check), IsEmpty()) << check;
  }
}

TEST(Checks, SayNothingAboutGoodData) {
  const ScratchDatabase database;
  seed_good(database);
  pqxx::connection owner(database.owner());
  for (const std::string& check : check_names()) {
    EXPECT_THAT(found(owner, check), IsEmpty()) << check;
  }
}

TEST(Checks, EveryCheckIsTestedHere) {
  std::vector<std::string> tested;
  for (const auto& [check, spoilers] : kSpoilers) tested.push_back(check);
  EXPECT_EQ(check_names(), tested);
}

TEST(Checks, FindEachKindOfBadDatum) {
  const ScratchDatabase database;
  seed_good(database);
  pqxx::connection owner(database.owner());
  drop_constraints(owner);
  for (const auto& [check, spoilers] : kSpoilers) {
    const std::string query = read_file(kSql + "/checks/" + check + ".sql");
    for (const std::string& spoiler : spoilers) {
      // The query's rows come last of what one round trip runs; the spoiling is undone.
      EXPECT_THAT(rows_then_undo(owner, spoiler, query), Not(IsEmpty()))
          << check << ": " << spoiler;
    }
  }
}

TEST(Checks, CheckShPrintsWhatItFoundAndFails) {
  const ScratchDatabase database;
  seed_good(database);
  const Finished good = run_command({kSql + "/check.sh", database.owner()});
  EXPECT_EQ(good.status, 0) << good.output;
  rows(database.owner(), "UPDATE bearing SET azimuth_deg = 361.5 WHERE station_id = 1");
  const Finished bad = run_command({kSql + "/check.sh", database.owner()});
  EXPECT_EQ(bad.status, 1);
  EXPECT_THAT(bad.output, HasSubstr("bearing_out_of_range.sql found:\n1|7|1|"));
  EXPECT_THAT(bad.output, HasSubstr("|361.5|"));
}

}  // namespace
}  // namespace fixwright::test
