/// What fixwright_reader and fixwright_writer may do, and may not.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

class RolesTest : public testing::Test {
 protected:
  /// Our tables ('r', 'p') or views ('v'); PostGIS's own left out.
  std::vector<std::string> relations(const std::string& kinds) {
    return rows(database.owner(),
                "SELECT relname FROM pg_class AS c "
                "WHERE relnamespace = 'public'::regnamespace AND relkind = ANY ('{" +
                    kinds +
                    "}') AND NOT EXISTS (SELECT FROM pg_depend AS d WHERE d.objid = c.oid "
                    "AND d.deptype = 'e') ORDER BY 1");
  }

  const ScratchDatabase database;
};

TEST_F(RolesTest, ReaderReadsEveryView) {
  const auto views = relations("v");
  EXPECT_THAT(
      views,
      ElementsAre("alert_history", "alert_mute_list", "alert_open", "alert_region",
                  "alert_rule_list", "bearing_line", "bearing_only_list", "calibration_list",
                  "case_emitter_list", "case_list", "case_note_list", "channel_by_hour",
                  "channel_plan", "emitter_before_list", "emitter_by_hour", "emitter_decision_list",
                  "emitter_history", "emitter_latest", "emitter_redirect", "emitter_region",
                  "emitter_track", "final_fix", "fix_bearing_detail", "fix_before_list",
                  "fix_latest", "fix_region", "hearing_by_hour", "licence_history", "licence_list",
                  "recompute_run_list", "register_import_list", "register_opinion_list",
                  "station_by_hour", "station_status", "transmission_list", "watched_area_list"));
  pqxx::connection reader(database.reader());
  for (const std::string& view : views) {
    EXPECT_EQ(complaint(reader, "SELECT * FROM " + view), "") << view;
  }
}

TEST_F(RolesTest, ReaderReadsNoTable) {
  rows(database.owner(), "SELECT make_bearing_day('2031-05-04')");
  const auto tables = relations("r,p");
  EXPECT_GE(tables.size(), 15U);
  pqxx::connection reader(database.reader());
  for (const std::string& table : tables) {
    EXPECT_THAT(complaint(reader, "SELECT * FROM " + table),
                HasSubstr("permission denied for table " + table));
  }
}

TEST_F(RolesTest, ReaderWritesNothing) {
  // Also where it lifts its own read-only setting, which any session may.
  pqxx::connection lifted(database.reader() + " options='-c default_transaction_read_only=off'");
  for (const std::string& view : relations("v")) {
    EXPECT_NE(complaint(lifted, "DELETE FROM " + view), "") << view;
  }
  EXPECT_THAT(complaint(lifted, "CREATE TABLE mine (a integer)"),
              HasSubstr("permission denied for schema public"));
  EXPECT_THAT(complaint(lifted, "SELECT make_bearing_day('2031-05-04')"),
              HasSubstr("permission denied for function make_bearing_day"));
}

TEST_F(RolesTest, ReaderCannotOccupyTheServer) {
  EXPECT_EQ(value(database.reader(), "SHOW statement_timeout"), "30s");
  EXPECT_EQ(value(database.reader(), "SHOW default_transaction_read_only"), "on");
  EXPECT_EQ(value(database.owner(),
                  "SELECT rolconnlimit FROM pg_roles WHERE rolname = 'fixwright_reader'"),
            "20");
}

TEST_F(RolesTest, NeitherRoleIsMoreThanItsName) {
  EXPECT_THAT(rows(database.owner(),
                   "SELECT rolname, rolsuper OR rolcreaterole OR rolcreatedb OR rolreplication "
                   "OR rolbypassrls FROM pg_roles WHERE rolname IN ('fixwright_reader', "
                   "'fixwright_writer') ORDER BY 1"),
              ElementsAre("fixwright_reader|f", "fixwright_writer|f"));
}

TEST_F(RolesTest, WriterChangesNoTableAndLosesNoBearing) {
  EXPECT_THAT(complaint(database.writer(), "DROP TABLE fix"), HasSubstr("must be owner"));
  EXPECT_THAT(complaint(database.writer(), "CREATE TABLE mine (a integer)"),
              HasSubstr("permission denied for schema public"));
  EXPECT_THAT(complaint(database.writer(), "DELETE FROM bearing"),
              HasSubstr("permission denied for table bearing"));
  EXPECT_THAT(complaint(database.writer(), "DELETE FROM schema_version"),
              HasSubstr("permission denied for table schema_version"));
}

TEST_F(RolesTest, GisClientsFindEveryGeometryInWgs84) {
  const auto layers =
      rows(database.reader(), "SELECT f_table_name, srid FROM geometry_columns ORDER BY 1");
  EXPECT_THAT(layers, testing::IsSupersetOf(
                          {"alert_open|4326", "bearing_line|4326", "emitter_latest|4326",
                           "emitter_region|4326", "emitter_track|4326", "fix_latest|4326",
                           "fix_region|4326", "licence_list|4326", "station_status|4326"}));
  for (const std::string& layer : layers) EXPECT_THAT(layer, testing::EndsWith("|4326"));
}

}  // namespace
}  // namespace fixwright::test
