/// How PostgreSQL answers the questions of sql/README.md: by the sums and by indexes. Three weeks
/// stand for the year: enough that reading all of a large table isn't the cheapest way.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>
#include <sstream>

#include "tests/bench/history/history_year.hpp"

namespace fixwright::test {
namespace {

using testing::ContainsRegex;
using testing::Each;
using testing::Not;

/// The steps of a plan, without those that it turned out not to need.
std::vector<std::string> carried_out(const std::string& plan) {
  std::vector<std::string> steps;
  std::istringstream lines(plan);
  for (std::string line; std::getline(lines, line);) {
    if (line.find("actual time") != std::string::npos) steps.push_back(line);
  }
  return steps;
}

const std::set<std::string> kByKey{"nights", "occupancy", "busy_hours", "heard_by", "emitter_life"};

/// One test, since the history takes longer to fill than to ask.
TEST(HistoryPlans, QuestionsAreAnsweredBySumsAndIndexes) {
  HistoryYear year(20, 1000);
  EXPECT_GT(std::stol(year.value("SELECT sum(bearings) FROM station_by_hour")), 180'000);
  std::set<std::string> by_key;
  for (const Asked& question : documented_questions()) {
    const std::string plan = year.plan(question);
    const auto steps = carried_out(plan);
    ASSERT_FALSE(steps.empty()) << question.name;
    EXPECT_THAT(
        steps,
        Each(Not(ContainsRegex("Seq Scan on (fix|fix_bearing|transmission|bearing_[0-9]+) "))))
        << question.name;
    if (question.values.empty()) continue;
    EXPECT_THAT(steps, Each(Not(ContainsRegex(" on (bearing_[0-9]+|fix_bearing) "))))
        << question.name;
    if (!kByKey.contains(question.name)) continue;
    by_key.insert(question.name);
    EXPECT_THAT(plan, ContainsRegex("(channel|emitter)_hour_(pkey|by_time)")) << question.name;
  }
  EXPECT_EQ(by_key, kByKey);
}

}  // namespace
}  // namespace fixwright::test
