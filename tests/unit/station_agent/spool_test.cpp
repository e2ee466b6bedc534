#include "station_agent/spool/spool.hpp"

#include <gmock/gmock.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <fstream>

#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent {
namespace {

using std::chrono::hours;
using std::chrono::seconds;

constexpr TimePoint kNow{seconds{1'900'000'000}};

std::vector<SpoolItem> items(int n, TimePoint first = kNow) {
  std::vector<SpoolItem> all;
  for (int i = 0; i < n; ++i) all.push_back({first + seconds{i}, "payload " + std::to_string(i)});
  return all;
}

std::vector<std::uint64_t> sequences(const Spool& spool, std::uint64_t after = 0) {
  std::vector<std::uint64_t> all;
  const auto kept = spool.read_after(after, 1'000'000);
  for (const SpooledBearing& b : kept.value()) all.push_back(b.sequence);
  return all;
}

class SpoolFile : public ::testing::Test {
 protected:
  std::unique_ptr<Spool> open(const SpoolLimits& limits = {}) {
    auto spool = Spool::open(path, limits);
    EXPECT_TRUE(spool.ok()) << spool.error();
    return std::move(spool).value();
  }
  TempFolder folder;
  std::filesystem::path path = folder.path() / "station.spool";
};

TEST_F(SpoolFile, SequencesBeginAtOneAndRiseByOne) {
  const auto spool = open();
  EXPECT_EQ(spool->append(items(3), kNow).value(), 3U);
  EXPECT_EQ(spool->append(items(2), kNow).value(), 5U);
  EXPECT_THAT(sequences(*spool), testing::ElementsAre(1, 2, 3, 4, 5));
}

TEST_F(SpoolFile, ReopenedGivesTheSameStreamBearingsAndMark) {
  auto spool = open();
  const auto stream = spool->stream_id();
  ASSERT_TRUE(spool->append(items(3), kNow, "file at byte 812").ok());
  spool.reset();
  spool = open();
  EXPECT_EQ(spool->stream_id(), stream);
  EXPECT_EQ(spool->source_mark(), "file at byte 812");
  const auto kept = spool->read_after(1, 1).value();
  ASSERT_EQ(kept.size(), 1U);
  EXPECT_EQ(kept[0].payload, "payload 1");
  EXPECT_EQ(kept[0].start, kNow + seconds{1});
}

TEST_F(SpoolFile, SequencesGoOnAfterEverythingWasForgotten) {
  auto spool = open();
  ASSERT_TRUE(spool->append(items(3), kNow).ok());
  EXPECT_EQ(spool->forget_through(3).value(), 3U);
  spool.reset();
  spool = open();
  EXPECT_EQ(spool->append(items(1), kNow).value(), 4U);
}

TEST_F(SpoolFile, PayloadBytesComeBackUnchangedEvenZeroBytesAndNone) {
  const auto spool = open();
  const std::string odd("\0\xff\n\0", 4);
  ASSERT_TRUE(spool->append(std::vector<SpoolItem>{{kNow, odd}, {kNow, ""}}, kNow).ok());
  const auto kept = spool->read_after(0, 10).value();
  EXPECT_EQ(kept.at(0).payload, odd);
  EXPECT_EQ(kept.at(1).payload, "");
}

TEST_F(SpoolFile, BeyondTheCountTheOldestIsDroppedAndCounted) {
  auto spool = open({.max_bearings = 3});
  ASSERT_TRUE(spool->append(items(5), kNow).ok());
  EXPECT_THAT(sequences(*spool), testing::ElementsAre(3, 4, 5));
  EXPECT_EQ(spool->status().dropped, 2U);
  EXPECT_EQ(spool->status().waiting, 3U);
  spool.reset();
  EXPECT_EQ(open({.max_bearings = 3})->status().dropped, 2U);  // the count survives too
}

TEST_F(SpoolFile, BeyondTheAgeTheOldestIsDroppedAndCounted) {
  const auto spool = open({.max_age = hours{1}});
  ASSERT_TRUE(spool->append(items(2500), kNow).ok());
  ASSERT_TRUE(spool->append(items(1), kNow + hours{1} + seconds{1}).ok());
  EXPECT_THAT(sequences(*spool), testing::ElementsAre(2501));
  EXPECT_EQ(spool->status().dropped, 2500U);
}

TEST_F(SpoolFile, OldestStartLooksOnlyAtWhatIsNotYetSent) {
  const auto spool = open();
  EXPECT_FALSE(spool->oldest_start_after(0).has_value());
  ASSERT_TRUE(spool->append(items(3), kNow).ok());
  EXPECT_EQ(spool->oldest_start_after(1), kNow + seconds{1});
  EXPECT_FALSE(spool->oldest_start_after(3).has_value());
}

TEST_F(SpoolFile, SecondAgentOnTheSameSpoolIsToldWhoHoldsIt) {
  const auto first = open();
  const auto second = Spool::open(path, {});
  ASSERT_FALSE(second.ok());
  EXPECT_THAT(second.error(), testing::AllOf(testing::HasSubstr("station.spool is in use by"),
                                             testing::HasSubstr(std::to_string(getpid()))));
}

TEST_F(SpoolFile, KillMinusNineLosesNothingThatAppendReturned) {
  int fds[2];
  ASSERT_EQ(pipe(fds), 0);
  const pid_t child = fork();
  if (child == 0) {
    auto spool = Spool::open(path, {});
    for (std::uint64_t n = 0;; ++n) {
      const auto last = std::move(spool).value()->append(items(1), kNow);
      if (!last || write(fds[1], &*last, sizeof(std::uint64_t)) < 0) _exit(1);
    }
  }
  close(fds[1]);
  std::uint64_t promised = 0;
  while (promised < 50) ASSERT_GT(read(fds[0], &promised, sizeof promised), 0);
  kill(child, SIGKILL);
  while (read(fds[0], &promised, sizeof promised) > 0) {
  }
  ASSERT_EQ(waitpid(child, nullptr, 0), child);
  close(fds[0]);
  const auto spool = open();  // and the dead agent's lock went with it
  EXPECT_GE(spool->status().last_sequence, promised);
  EXPECT_EQ(sequences(*spool).size(), spool->status().last_sequence);
}

TEST_F(SpoolFile, RenewedStreamHasAnotherIdAndNumbersFromOne) {
  const auto spool = open();
  const auto stream = spool->stream_id();
  ASSERT_TRUE(spool->append(items(5), kNow).ok());
  ASSERT_TRUE(spool->forget_through(2).ok());
  ASSERT_TRUE(spool->renew_stream().ok());
  EXPECT_NE(spool->stream_id(), stream);
  const auto kept = spool->read_after(0, 10).value();
  ASSERT_EQ(kept.size(), 3U);
  EXPECT_EQ(kept[0].sequence, 1U);
  EXPECT_EQ(kept[0].payload, "payload 2");
  EXPECT_EQ(spool->append(items(1), kNow).value(), 4U);
}

TEST_F(SpoolFile, FileThatIsNoSpoolIsRefusedInOneLine) {
  std::ofstream(path) << std::string(5000, 'x');
  const auto spool = Spool::open(path, {});
  ASSERT_FALSE(spool.ok());
  EXPECT_THAT(spool.error(), testing::HasSubstr("file is not a database"));
  EXPECT_THAT(spool.error(), testing::HasSubstr("move the file away"));
}

TEST_F(SpoolFile, FolderThatCannotBeWrittenIsNamed) {
  const auto spool = Spool::open("/proc/no/such/station.spool", {});
  ASSERT_FALSE(spool.ok());
  EXPECT_THAT(spool.error(), testing::HasSubstr("/proc/no/such/station.spool.lock"));
}

TEST(SpoolStream, TwoNewSpoolsAreTwoStreams) {
  const TempFolder folder;
  const auto a = Spool::open(folder.path() / "a", {});
  const auto b = Spool::open(folder.path() / "b", {});
  EXPECT_NE(a.value()->stream_id(), b.value()->stream_id());
  EXPECT_NE(a.value()->stream_id(), 0U);
}

}  // namespace
}  // namespace fixwright::agent
