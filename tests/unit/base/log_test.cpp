#include "server/base/log.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <ctime>
#include <thread>
#include <vector>

#include "server/base/time.hpp"

namespace fixwright {
namespace {

using testing::ContainsRegex;
using testing::EndsWith;
using testing::HasSubstr;
using testing::Not;

/// What is written to standard error while it lives.
class Captured {
 public:
  Captured() { testing::internal::CaptureStderr(); }
  std::string text() { return testing::internal::GetCapturedStderr(); }
};

TEST(Log, LineHasUtcStampLevelAndProgram) {
  log::start("fixwright-test", log::Level::info);
  Captured captured;
  log::warn("store: lost the database; {} fixes waiting", 1204);
  const std::string text = captured.text();
  // RFC 3339, in UTC whatever the host's zone.
  EXPECT_THAT(text, ContainsRegex("^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}"
                                  "\\.[0-9]{3}Z warn fixwright-test: store: lost"));
  EXPECT_THAT(text, EndsWith("; 1204 fixes waiting\n"));
}

TEST(Log, StampIsUtcWhateverTheZoneOfTheHost) {
  ASSERT_EQ(setenv("TZ", "Pacific/Kiritimati", 1), 0);  // 14 hours ahead
  tzset();
  log::start("fixwright-test", log::Level::info);
  Captured captured;
  const auto before = std::chrono::system_clock::now();
  log::info("x");
  const auto after = std::chrono::system_clock::now();
  const std::string text = captured.text();
  unsetenv("TZ");
  tzset();
  const auto stamp = parse_rfc3339(text.substr(0, text.find(' ')));
  ASSERT_TRUE(stamp.ok()) << text;
  EXPECT_LE(std::chrono::floor<std::chrono::milliseconds>(before), *stamp);
  EXPECT_LE(*stamp, after);
}

TEST(Log, LinesBelowTheLevelAreDropped) {
  log::start("fixwright-test", log::Level::warn);
  Captured captured;
  log::info("quiet");
  log::error("loud");
  const std::string text = captured.text();
  EXPECT_THAT(text, Not(HasSubstr("quiet")));
  EXPECT_THAT(text, HasSubstr("error fixwright-test: loud"));
}

TEST(Log, PeerCannotForgeALine) {
  log::start("fixwright-test", log::Level::info);
  Captured captured;
  log::info("station {}", "A\n2031-05-04T10:15:02.250Z error fixwright-test: all is lost\x1b[2J");
  const std::string text = captured.text();
  EXPECT_EQ(std::count(text.begin(), text.end(), '\n'), 1);
  EXPECT_THAT(text, HasSubstr("station A\\n2031"));
  EXPECT_THAT(text, HasSubstr("\\x1B[2J"));
}

TEST(Log, BracesAndPercentSignsOfDataAreData) {
  log::start("fixwright %v {}", log::Level::info);
  Captured captured;
  log::info("{}", "{} %v %n {0}");
  EXPECT_THAT(captured.text(), HasSubstr("info fixwright %v {}: {} %v %n {0}\n"));
}

TEST(Log, LinesOfSeveralThreadsStayWhole) {
  log::start("fixwright-test", log::Level::info);
  Captured captured;
  std::vector<std::thread> threads;
  for (int t = 0; t < 4; ++t) {
    threads.emplace_back([] {
      for (int i = 0; i < 100; ++i) log::info("{}", std::string(200, 'x') + "end");
    });
  }
  for (std::thread& thread : threads) thread.join();
  const std::string text = captured.text();
  EXPECT_EQ(std::count(text.begin(), text.end(), '\n'), 400);
  std::size_t whole = 0;
  const std::string line = "fixwright-test: " + std::string(200, 'x') + "end\n";
  for (std::size_t at = 0; (at = text.find(line, at)) != std::string::npos; ++at) ++whole;
  EXPECT_EQ(whole, 400U);
}

}  // namespace
}  // namespace fixwright
