/// The questions of sql/README.md, asked as the reader they were written for.

#include "tests/db/questions.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "tests/db/command.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

const std::string kRoot = FIXWRIGHT_SOURCE_DIR;

class QuestionsTest : public testing::Test {
 protected:
  QuestionsTest() {
    std::ostringstream seed;
    seed << std::ifstream(kRoot + "/tests/db/questions_seed.sql").rdbuf();
    rows(database.owner(), seed.str());
    // The questions ask for now(): a function of that name, found first, says noon.
    rows(database.owner(),
         "CREATE SCHEMA frozen; GRANT USAGE ON SCHEMA frozen TO fixwright_reader; "
         "CREATE FUNCTION frozen.now() RETURNS timestamptz LANGUAGE sql STABLE AS "
         "$$ SELECT timestamptz '2031-05-04 12:00Z' $$");
  }

  std::string ask(pqxx::connection& reader, const std::string& query) {
    std::string answer;
    for (const std::string& row : rows(reader, query)) answer += row + "\n";
    return answer;
  }

  const ScratchDatabase database;
};

TEST_F(QuestionsTest, EachHasTheAnswerThatTheReadmeShows) {
  pqxx::connection reader(database.reader() +
                          " options='-c search_path=frozen,public,pg_catalog -c timezone=UTC'");
  for (const Question& question : read_questions()) {
    EXPECT_EQ(ask(reader, question.query), question.answer) << question.title;
  }
}

TEST_F(QuestionsTest, ThereAreTwentyAndNoneIsAnsweredByNothing) {
  const auto questions = read_questions();
  EXPECT_EQ(questions.size(), 20U);
  for (const Question& question : questions) EXPECT_NE(question.answer, "") << question.title;
}

TEST_F(QuestionsTest, TheFirstFiveOfTheProjectsReadmeAreUnderstood) {
  std::ostringstream readme;
  readme << std::ifstream(kRoot + "/README.md").rdbuf();
  const std::string text = readme.str();
  const std::size_t begin = text.find("```sql\n") + 7;
  std::istringstream block(text.substr(begin, text.find("```", begin) - begin));
  pqxx::connection reader(database.reader());
  int asked = 0;
  for (std::string query; std::getline(block, query, ';');) {
    if (query.find("SELECT") == std::string::npos) continue;
    EXPECT_EQ(complaint(reader, query), "") << query;
    ++asked;
  }
  EXPECT_EQ(asked, 5);
}

TEST_F(QuestionsTest, TheirHistoryPassesTheChecks) {
  const Finished checked = run_command({kRoot + "/sql/check.sh", database.owner()});
  EXPECT_EQ(checked.status, 0) << checked.output;
}

}  // namespace
}  // namespace fixwright::test
