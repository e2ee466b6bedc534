/// The schema: its version, migrate.sh, and the rules it was built by.

#include "server/store/schema.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>

#include "tests/db/command.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::StartsWith;

const std::string kRoot = FIXWRIGHT_SOURCE_DIR;

std::string refusal(const std::string& connection) {
  store::Database pool({connection, 1, std::chrono::seconds(5)});
  try {
    store::check_schema(pool);
    return "";
  } catch (const store::DatabaseRefused& e) {
    return e.what();
  }
}

Finished migrate(const std::string& connection) {
  return run_command({kRoot + "/sql/migrate.sh", connection});
}

TEST(Schema, ServerNeedsTheVersionOfTheLastMigration) {
  int migrations = 0;
  for (const auto& file : std::filesystem::directory_iterator(kRoot + "/sql/migrations")) {
    migrations += file.path().extension() == ".sql" ? 1 : 0;
  }
  EXPECT_EQ(store::kSchemaVersion, migrations);
}

TEST(Schema, MigratedDatabaseIsAccepted) {
  const ScratchDatabase database;
  EXPECT_EQ(refusal(database.writer()), "");
}

TEST(Schema, OlderOneIsRefusedWithWhatToDo) {
  const ScratchDatabase database;
  rows(database.owner(), "DELETE FROM schema_version WHERE version > 3");
  EXPECT_EQ(refusal(database.writer()), "database schema is version 3, this server needs " +
                                            std::to_string(store::kSchemaVersion) +
                                            ": run sql/migrate.sh, see deploy/UPGRADING.md");
}

TEST(Schema, NewerOneIsRefusedWithWhatToDo) {
  const ScratchDatabase database;
  rows(database.owner(), "INSERT INTO schema_version (version) VALUES (99)");
  EXPECT_THAT(refusal(database.writer()), StartsWith("database schema is version 99"));
  EXPECT_THAT(refusal(database.writer()), HasSubstr("start the newer server"));
}

TEST(Schema, EmptyDatabaseIsVersionZero) {
  const ScratchDatabase database = ScratchDatabase::empty();
  EXPECT_THAT(refusal(database.writer()), StartsWith("database schema is version 0"));
}

TEST(Migrate, FillsAnEmptyDatabaseAndTellsWhatItApplied) {
  const ScratchDatabase database = ScratchDatabase::empty();
  const Finished first = migrate(database.owner());
  EXPECT_EQ(first.status, 0) << first.output;
  EXPECT_THAT(first.output, HasSubstr("applied 0001_"));
  EXPECT_THAT(first.output, HasSubstr("applied views/"));
  EXPECT_EQ(refusal(database.writer()), "");
}

TEST(Migrate, AppliesNothingTwice) {
  const ScratchDatabase database;
  const Finished again = migrate(database.owner());
  EXPECT_EQ(again.status, 0) << again.output;
  EXPECT_THAT(again.output, testing::Not(HasSubstr("applied")));
  EXPECT_THAT(again.output, HasSubstr("is at schema version"));
}

TEST(Migrate, AppliesAViewWhoseFileChanged) {
  const ScratchDatabase database;
  rows(database.owner(), "UPDATE view_version SET md5 = 'other' WHERE name LIKE '03%'");
  EXPECT_THAT(migrate(database.owner()).output, HasSubstr("applied views/03_bearings.sql"));
}

TEST(Migrate, RefusesANewerSchemaAndChangesNothing) {
  const ScratchDatabase database;
  rows(database.owner(), "INSERT INTO schema_version (version) VALUES (99)");
  const Finished refused = migrate(database.owner());
  EXPECT_NE(refused.status, 0);
  EXPECT_THAT(refused.output, HasSubstr("is at schema version 99"));
  EXPECT_THAT(refused.output, HasSubstr("use a newer checkout"));
}

TEST(Migrate, SaysThatThereIsNoDatabase) {
  const Finished refused = migrate("host=/nonexistent dbname=none");
  EXPECT_NE(refused.status, 0);
  EXPECT_THAT(refused.output, HasSubstr("can't reach the database"));
}

// So that a sharded PostgreSQL can be put under it later.
/// What people decide: some rows a day, in one database, however many share the bearings. Numbered
/// for people to name them, and held to one another.
constexpr auto kByHand =
    "'emitter_decision', 'register_opinion', 'register_import', 'calibration', "
    "'calibration_decision', 'alert_mute', 'recompute_run', 'case_file', 'case_note', "
    "'case_emitter'";

TEST(GrowthRules, LargeTablesKeysBeginWithTheirChannel) {
  const ScratchDatabase database;
  EXPECT_THAT(rows(database.owner(),
                   "SELECT c.relname FROM pg_index AS i JOIN pg_class AS c ON c.oid = i.indrelid "
                   "JOIN pg_attribute AS a ON a.attrelid = c.oid AND a.attnum = i.indkey[0] "
                   "WHERE i.indisunique AND c.relnamespace = 'public'::regnamespace "
                   "AND c.relname IN ('bearing', 'transmission', 'fix', 'fix_bearing', 'emitter', "
                   "'emitter_event', 'track_point', 'register_match') "
                   "AND a.attname = 'channel_id' AND a.atttypid = 'bigint'::regtype ORDER BY 1"),
              ElementsAre("emitter", "emitter_event", "fix", "fix_bearing", "register_match",
                          "track_point", "transmission"));
  EXPECT_THAT(rows(database.owner(),
                   "SELECT c.relname, a.attname FROM pg_index AS i "
                   "JOIN pg_class AS c ON c.oid = i.indrelid "
                   "JOIN pg_attribute AS a ON a.attrelid = c.oid AND a.attnum = i.indkey[0] "
                   "WHERE i.indisunique AND a.attname <> 'channel_id' "
                   "AND EXISTS (SELECT FROM pg_attribute AS o WHERE o.attrelid = c.oid "
                   "AND o.attname = 'channel_id') AND c.relname NOT IN ('alert', " +
                       std::string{kByHand} + ")"),
              IsEmpty());
}

TEST(GrowthRules, NoTriggersForeignKeysSequencesOrRowSecurity) {
  const ScratchDatabase database;
  EXPECT_THAT(rows(database.owner(), "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"),
              IsEmpty());
  EXPECT_THAT(
      rows(database.owner(),
           "SELECT conname FROM pg_constraint AS k JOIN pg_class AS c ON c.oid = k.conrelid "
           "WHERE contype = 'f' AND c.relname NOT IN (" +
               std::string{kByHand} + ")"),
      IsEmpty());
  EXPECT_THAT(rows(database.owner(),
                   "SELECT s.relname FROM pg_class AS s LEFT JOIN pg_depend AS d "
                   "ON d.objid = s.oid AND d.deptype = 'i' "
                   "LEFT JOIN pg_class AS c ON c.oid = d.refobjid "
                   "WHERE s.relkind = 'S' AND (c.relname IS NULL OR c.relname NOT IN (" +
                       std::string{kByHand} + "))"),
              IsEmpty());
  EXPECT_THAT(rows(database.owner(), "SELECT relname FROM pg_class WHERE relrowsecurity"),
              IsEmpty());
}

TEST(GrowthRules, EveryTableViewAndColumnOfATableIsExplained) {
  const ScratchDatabase database;
  const std::string ours =
      "c.relnamespace = 'public'::regnamespace AND NOT EXISTS (SELECT FROM pg_depend AS d "
      "WHERE d.objid = c.oid AND d.deptype = 'e') ";
  EXPECT_THAT(rows(database.owner(), "SELECT relname FROM pg_class AS c WHERE " + ours +
                                         "AND relkind IN ('r', 'p', 'v') "
                                         "AND obj_description(c.oid, 'pg_class') IS NULL"),
              IsEmpty());
  EXPECT_THAT(rows(database.owner(),
                   "SELECT relname, attname FROM pg_class AS c JOIN pg_attribute AS a "
                   "ON attrelid = c.oid WHERE " +
                       ours +
                       "AND relkind IN ('r', 'p') AND attnum > 0 AND NOT attisdropped "
                       "AND col_description(c.oid, attnum) IS NULL"),
              IsEmpty());
}

}  // namespace
}  // namespace fixwright::test
