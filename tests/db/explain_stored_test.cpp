/// `fixwright explain --database`: what the pipeline stored, told from the tables again.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "server/report/csv.hpp"
#include "server/store/bearing_store.hpp"
#include "server/store/reader.hpp"
#include "server/store/result_writer.hpp"
#include "server/store/small_tables.hpp"
#include "server/tools/explain_command.hpp"
#include "tests/db/samples.hpp"
#include "tests/support/scenario/feed.hpp"

namespace fixwright::test {
namespace {

using testing::ContainsRegex;
using testing::HasSubstr;

struct Told {
  int exit_code = -1;
  std::string out;
  std::string err;
};

tools::ExplainOptions fix_named(const std::string& name) {
  tools::ExplainOptions options;
  options.fix = name;
  return options;
}

/// A minute of one emitter on Osmere, through the whole pipeline, into the tables.
class ExplainStoredTest : public testing::Test {
 protected:
  ExplainStoredTest() {
    stations = store::register_stations(pool, osmere_stations());
    const scenario::Source emitter{
        .position = {41.28, -150.28}, .on = {{0.0, 4.0}, {30.0, 34.0}}, .turned_deg = {{3, 40.0}}};
    const auto bearings = scenario::simulate(stations, {emitter}, {.detection = 1.0});
    store::BearingStore(pool).append(bearings);
    tables = scenario::run({}, stations, scenario::arrivals(bearings, 0.3, 0.0, 1));
    store::ResultBatch batch;
    for (const auto& [key, t] : tables.transmissions) batch.transmissions.push_back(t);
    for (const auto& [key, f] : tables.fixes) batch.fixes.push_back(f);
    for (const auto& [key, e] : tables.emitters) batch.emitters.push_back(e);
    store::ResultWriter(pool).write(batch);
  }

  Told explain(tools::ExplainOptions options = {}) {
    if (options.database.empty()) options.database = database.writer();
    std::ostringstream out, err;
    const int exit_code = tools::run_explain(options, out, err);
    return {exit_code, out.str(), err.str()};
  }

  ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
  Stations stations;
  scenario::Tables tables;
};

TEST_F(ExplainStoredTest, EveryStoredFixIsFoundAgainFromItsBearings) {
  int accepted = 0;
  for (const auto& [key, fix] : tables.fixes) {
    if (fix.state == ResultState::withdrawn) continue;
    const Told told = explain(fix_named(report::fix_text(key)));
    ASSERT_EQ(told.exit_code, 0) << told.err;
    EXPECT_THAT(told.out, HasSubstr(": the same")) << told.out;
    EXPECT_THAT(told.out, HasSubstr(std::string(to_string(fix.solution.refusal)) == "none"
                                        ? "accepted"
                                        : std::string(to_string(fix.solution.refusal))));
    accepted += fix.solution.accepted() ? 1 : 0;
  }
  EXPECT_GE(accepted, 2);  // it came on twice
}

TEST_F(ExplainStoredTest, TheNewestIsToldWithoutAName) {
  const Told told = explain();
  ASSERT_EQ(told.exit_code, 0) << told.err;
  EXPECT_THAT(told.out, ContainsRegex("fix +1/2031-05-04T10:00:3"));
  EXPECT_THAT(told.out, ContainsRegex("LANTERN-HEAD .* used"));
  EXPECT_THAT(told.out, HasSubstr("emitter     1/"));
  EXPECT_THAT(told.out, HasSubstr("never proof"));
}

TEST_F(ExplainStoredTest, TheNumbersOfTheViewNameAFixToo) {
  const std::string name =
      value(database.reader(),
            "SELECT concat_ws('/', channel_id, transmission_id, ordinal) FROM fix_latest "
            "WHERE refusal = 'none' ORDER BY valid_at LIMIT 1");
  const Told told = explain(fix_named(name));
  EXPECT_EQ(told.exit_code, 0) << told.err;
  EXPECT_THAT(told.out, ContainsRegex("fix +1/2031-05-04T10:00:0"));
}

TEST_F(ExplainStoredTest, AChangedCalibrationIsNoticed) {
  auto turned = osmere_stations();
  turned[0].bias_deg = 3.0;
  store::register_stations(pool, turned);
  const Told told = explain();
  EXPECT_EQ(told.exit_code, 0) << told.err;
  EXPECT_THAT(told.out, HasSubstr(": DIFFERENT"));
  EXPECT_THAT(told.out, ContainsRegex("stored was 41\\..* m away"));
}

TEST_F(ExplainStoredTest, WhatIsNotThereIsOneLine) {
  const Told unknown = explain(fix_named("1/2031-05-04T09:00:00Z/0"));
  EXPECT_EQ(unknown.exit_code, 2);
  EXPECT_THAT(unknown.err, HasSubstr("has no fix 1/2031-05-04T09:00:00Z/0"));
  const Told wrong = explain(fix_named("the first"));
  EXPECT_EQ(wrong.exit_code, 2);
  EXPECT_THAT(wrong.err, HasSubstr("--fix = the first: must be CHANNEL/TRANSMISSION/ORDINAL"));
  tools::ExplainOptions elsewhere;
  elsewhere.config = "/nowhere/server.toml";
  const Told rules = explain(elsewhere);
  EXPECT_EQ(rules.exit_code, 2);
  EXPECT_THAT(rules.err, HasSubstr("/nowhere/server.toml"));
}

TEST_F(ExplainStoredTest, WhoSeesTheViewsAloneIsToldWhichRoleIsNeeded) {
  tools::ExplainOptions as_reader;
  as_reader.database = database.reader();
  const Told told = explain(as_reader);
  EXPECT_EQ(told.exit_code, 2);
  EXPECT_THAT(told.err, HasSubstr("refused: permission denied"));
  EXPECT_THAT(told.err, HasSubstr("connect as fixwright_writer"));
}

TEST_F(ExplainStoredTest, DroppedBearingsAreSaidToBeGone) {
  complaint(database.owner(), "DELETE FROM bearing");
  const Told told = explain();
  EXPECT_EQ(told.exit_code, 2);
  EXPECT_THAT(told.err, HasSubstr("no longer kept"));
  EXPECT_EQ(told.out, "");
}

}  // namespace
}  // namespace fixwright::test
