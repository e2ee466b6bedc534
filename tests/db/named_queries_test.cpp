/// The questions with a name: sql/README.md shows what `fixwright query` and psql answer.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>

#include "server/tools/query_command.hpp"
#include "tests/db/command.hpp"
#include "tests/db/questions.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::HasSubstr;
using testing::StartsWith;

const std::string kRoot = FIXWRIGHT_SOURCE_DIR;
const std::string kPsql = "/usr/bin/psql";

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

class NamedQueriesTest : public testing::Test {
 protected:
  NamedQueriesTest() { rows(database.owner(), text_of("tests/db/questions_seed.sql")); }

  std::string ask(const Example& example, tools::QueryFormat format) {
    tools::QueryOptions options;
    options.query = query_named(example.name);
    options.arguments = example.arguments;
    options.database = database.reader();
    options.format = format;
    std::ostringstream out;
    err.str("");
    status = tools::run_query(options, out, err);
    return out.str();
  }

  /// As psql answers the file, each argument by -v.
  Finished psql(const Example& example) {
    std::vector<std::string> words{kPsql, "-X",
                                   "-q",  "--csv",
                                   "-v",  "ON_ERROR_STOP=1",
                                   "-d",  database.reader() + " options='-c timezone=UTC'"};
    const tools::NamedQuery query = query_named(example.name);
    const auto values = tools::query_values(query, example.arguments);
    for (std::size_t i = 0; i < query.arguments.size(); ++i) {
      words.insert(words.end(), {"-v", query.arguments[i].name + "=" + values->at(i)});
    }
    words.insert(words.end(), {"-f", kRoot + "/sql/queries/" + example.name + ".sql"});
    return run_command(words);
  }

  const ScratchDatabase database;
  std::ostringstream err;
  int status = -1;
};

TEST_F(NamedQueriesTest, EachHasTheAnswerThatTheReadmeShows) {
  for (const Example& example : read_examples()) {
    EXPECT_EQ(ask(example, tools::QueryFormat::table), example.answer) << example.name;
    EXPECT_EQ(err.str(), "") << example.name;
  }
}

TEST_F(NamedQueriesTest, PsqlAnswersTheSameFilesTheSame) {
  for (const Example& example : read_examples()) {
    const Finished answer = psql(example);
    EXPECT_EQ(answer.status, 0) << answer.output;
    const auto theirs = lines_of(answer.output);
    const auto ours = lines_of(ask(example, tools::QueryFormat::csv));
    ASSERT_EQ(theirs.size(), ours.size()) << example.name << "\n" << answer.output;
    // psql shows the geometry too, which comes last.
    for (std::size_t i = 0; i < ours.size(); ++i) EXPECT_THAT(theirs[i], StartsWith(ours[i]));
  }
}

TEST_F(NamedQueriesTest, EveryFileIsInTheReadmeAndAnsweredByRows) {
  std::set<std::string> files, shown;
  for (const auto& file : std::filesystem::directory_iterator(kRoot + "/sql/queries")) {
    files.insert(file.path().stem());
  }
  for (const Example& example : read_examples()) {
    shown.insert(example.name);
    EXPECT_GE(lines_of(example.answer).size(), 2U) << example.name;
  }
  EXPECT_EQ(shown, files);
  EXPECT_EQ(tools::query_files().size(), files.size());
}

TEST_F(NamedQueriesTest, ATableOfOnesOwnJoinsAsTheReadmeShows) {
  const std::string section = named_part().substr(named_part().find("### A table of your own"));
  std::string script = block(section, "sql");
  script.replace(script.find("'tests/"), 1, "'" + kRoot + "/");
  const std::string path = testing::TempDir() + "own_table.sql";
  std::ofstream(path) << script;
  const Finished answer =
      run_command({kPsql, "-X", "-q", "-A", "-t", "-v", "ON_ERROR_STOP=1", "-d",
                   database.reader() + " options='-c timezone=UTC'", "-f", path});
  EXPECT_EQ(answer.output, block(section, "text"));
}

TEST_F(NamedQueriesTest, GeojsonIsAFeatureCollectionInWgs84) {
  const Example near{"near", {{"latitude", "41.2"}, {"longitude", "-150.31"}}, ""};
  const std::string text = ask(near, tools::QueryFormat::geojson);
  EXPECT_THAT(text, StartsWith(R"({"type":"FeatureCollection","features":[)"));
  EXPECT_THAT(text, HasSubstr(R"("geometry": {"type":"Point","coordinates":[-150.3,41.2]})"));
  EXPECT_THAT(text, HasSubstr(R"("within": 0.9)"));
}

TEST_F(NamedQueriesTest, GeojsonOfWhatHasNoGeometryIsRefusedInOneLine) {
  EXPECT_EQ(ask({"hearing", {}, ""}, tools::QueryFormat::geojson), "");
  EXPECT_EQ(status, 1);
  EXPECT_EQ(err.str(), "query hearing: no column is a geometry\n");
}

TEST_F(NamedQueriesTest, CsvQuotesWhatHoldsACommaOrAQuote) {
  rows(database.owner(), "UPDATE emitter_name SET name = 'mast, the \"old\" one'");
  const Example on{"on_at", {{"at", "2031-05-04T11:00:30Z"}}, ""};
  EXPECT_THAT(ask(on, tools::QueryFormat::csv), HasSubstr(R"(12,1,"mast, the ""old"" one",156)"));
}

TEST_F(NamedQueriesTest, WhatTheDatabaseRefusesIsOneLine) {
  ask({"nights", {{"channel", "12"}, {"emitter", "1"}, {"zone", "Nowhere/Land"}}, ""},
      tools::QueryFormat::table);
  EXPECT_EQ(status, 1);
  EXPECT_THAT(err.str(), HasSubstr("time zone \"Nowhere/Land\" not recognized\n"));
}

TEST_F(NamedQueriesTest, QueryThatTakesTooLongIsEnded) {
  tools::QueryOptions options;
  options.query.name = "slow";
  options.query.select = "SELECT count(*) FROM generate_series(1, 1000000000)";
  options.database = database.reader();
  options.timeout_s = 1;
  std::ostringstream out;
  EXPECT_EQ(tools::run_query(options, out, err), 1);
  EXPECT_THAT(err.str(), HasSubstr("statement timeout"));
}

TEST_F(NamedQueriesTest, AQueryWritesNothingEvenAsTheOwner) {
  tools::QueryOptions options;
  options.query.name = "day";
  options.query.select = "SELECT make_bearing_day('2031-06-01')";
  options.database = database.owner();
  std::ostringstream out;
  EXPECT_EQ(tools::run_query(options, out, err), 1);
  EXPECT_THAT(err.str(), HasSubstr("read-only transaction"));
}

TEST_F(NamedQueriesTest, DatabaseThatIsAwayIsOneLine) {
  tools::QueryOptions options;
  options.query = query_named("hearing");
  options.database = "host=/nowhere dbname=fixwright";
  std::ostringstream out;
  EXPECT_EQ(tools::run_query(options, out, err), 1);
  EXPECT_THAT(err.str(), StartsWith("query hearing: "));
  EXPECT_EQ(lines_of(err.str()).size(), 1U);
}

TEST_F(NamedQueriesTest, StationThatTookOtherBearingsMissedWhatWasOn) {
  rows(database.owner(),
       "INSERT INTO bearing (channel_id, start_at, stream_id, sequence, integration_ns, "
       "clock_error_ns, frequency_hz, azimuth_deg, sigma_deg, station_id, flags, start_ns, "
       "station_moves) VALUES (14, '2031-05-04 11:20Z', 74, 2, 1, 0, 433.92e6, 10, 1, 4, 0, 0, "
       "false)");
  rows(database.owner(), "SELECT rebuild_hours()");
  const std::string answer =
      ask({"hearing", {{"until", "2031-05-04T12:00:00Z"}}, ""}, tools::QueryFormat::csv);
  // In that hour (12, 1) and (1000007, 3) were on, once each.
  EXPECT_THAT(answer, HasSubstr("HARROW-HILL,0,0,2,0\n"));
  EXPECT_THAT(answer, HasSubstr("LANTERN-HEAD,2,3,0,100\n"));
}

}  // namespace
}  // namespace fixwright::test
