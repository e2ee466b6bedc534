/// `fixwright retention`: old days go, into an archive first; what was made of them stays.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "server/base/clock.hpp"
#include "server/store/bearing_store.hpp"
#include "server/store/small_tables.hpp"
#include "server/tools/bearing_csv.hpp"
#include "server/tools/retention_command.hpp"
#include "tests/db/command.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using std::chrono::hours;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

/// A bearing each five, three and one days ago; the store has made the days between too.
class RetentionTest : public testing::Test {
 protected:
  RetentionTest() {
    std::filesystem::remove_all(folder);
    std::filesystem::create_directories(folder);
    store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
    store::register_stations(pool, osmere_stations());
    const TimePoint today{std::chrono::floor<std::chrono::days>(SystemClock{}.now())};
    std::uint64_t sequence = 0;
    for (const int ago : {5, 3, 1}) {
      kept.push_back(plain_bearing(1, 7, ++sequence, today - hours(24 * ago - 12)));
    }
    store::BearingStore(pool).append(kept);
    options.database = database.owner();
    options.days = 3;
  }
  ~RetentionTest() override { std::filesystem::remove_all(folder); }

  std::string told() {
    std::ostringstream out;
    err.str("");
    status = tools::run_retention(options, out, err);
    return out.str();
  }
  std::vector<std::string> bearings() {
    return rows(database.owner(), "SELECT sequence FROM bearing ORDER BY 1");
  }

  const ScratchDatabase database;
  const std::string folder = testing::TempDir() + "retention_" +
                             testing::UnitTest::GetInstance()->current_test_info()->name();
  std::vector<Bearing> kept;
  tools::RetentionOptions options;
  std::ostringstream err;
  int status = -1;
};

TEST_F(RetentionTest, APlanSaysWhatItWouldFreeAndDropsNothing) {
  options.plan = true;
  const std::string plan = told();
  EXPECT_EQ(status, 0) << err.str();
  EXPECT_THAT(plan, HasSubstr(" MB: days 2, bearings 1\n"));
  EXPECT_THAT(bearings(), ElementsAre("1", "2", "3"));
}

TEST_F(RetentionTest, DaysThatAreOldEnoughGoAndTheirSumsStay) {
  const auto sums = rows(database.owner(), "SELECT sum(bearings) FROM station_hour");
  EXPECT_THAT(told(), HasSubstr(" MB: days 2, bearings 1\n"));
  EXPECT_EQ(status, 0) << err.str();
  EXPECT_THAT(bearings(), ElementsAre("2", "3"));
  EXPECT_EQ(rows(database.owner(), "SELECT sum(bearings) FROM station_hour"), sums);
  const Finished checked =
      run_command({std::string(FIXWRIGHT_SOURCE_DIR) + "/sql/check.sh", database.owner()});
  EXPECT_EQ(checked.status, 0) << checked.output;
  EXPECT_THAT(told(), HasSubstr("freed 0.0 MB: days 0, bearings 0"));
}

TEST_F(RetentionTest, AnArchiveIsWhatReplayReads) {
  options.archive = folder;
  told();
  EXPECT_EQ(status, 0) << err.str();
  const auto file = *std::filesystem::directory_iterator(folder);
  std::ostringstream complaints;
  const auto read = tools::read_bearing_file(file.path().string(), complaints);
  EXPECT_THAT(complaints.str(), IsEmpty());
  ASSERT_TRUE(read.ok());
  ASSERT_EQ(read->bearings.size(), 1U);
  EXPECT_EQ(read->bearings[0].start, kept[0].start);
  EXPECT_EQ(read->bearings[0].azimuth_deg, kept[0].azimuth_deg);
  EXPECT_EQ(read->bearings[0].station_position, kept[0].station_position);
  EXPECT_THAT(read->station_names, ElementsAre("LANTERN-HEAD"));
}

TEST_F(RetentionTest, ADayThatCannotBeArchivedIsKept) {
  options.archive = folder;
  const auto day = format_rfc3339(kept[0].start, 0).substr(0, 10);
  std::ofstream(folder + "/bearings_" + day + ".csv") << "somebody's";
  EXPECT_THAT(told(), HasSubstr(" MB: days 1, bearings 0\n"));  // the empty one
  EXPECT_EQ(status, 1);
  EXPECT_THAT(err.str(), HasSubstr("is there already; its day is kept: move it away"));
  EXPECT_THAT(bearings(), ElementsAre("1", "2", "3"));
}

TEST_F(RetentionTest, OnlyTheOwnerMay) {
  options.database = database.writer();
  told();
  EXPECT_EQ(status, 1);
  EXPECT_THAT(err.str(), HasSubstr("is kept: the database refused"));
  EXPECT_THAT(err.str(), HasSubstr(": connect as fixwright_owner\n"));
  EXPECT_THAT(bearings(), ElementsAre("1", "2", "3"));
}

}  // namespace
}  // namespace fixwright::test
