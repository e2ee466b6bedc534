/// Metrics against OpenMetrics 1.0.0 (the specification of the OpenMetrics project, 2020;
/// the sections "Text Format" and "Data Model"). Rules are quoted beside each test.

#include "server/base/metrics.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>
#include <regex>
#include <sstream>
#include <thread>

namespace fixwright {
namespace {

using testing::EndsWith;
using testing::HasSubstr;

// ABNF: "metricset = *metricfamily eof": the end is marked even where there is nothing.
TEST(OpenMetrics, EmptySetIsTheEndAlone) { EXPECT_EQ(Metrics{}.openmetrics(), "# EOF\n"); }

// "The MetricPoint's Total Value Sample MetricName MUST have the suffix `_total`"; the family's
// name in TYPE and HELP is without.
TEST(OpenMetrics, CounterSampleEndsInTotalAndItsFamilyDoesNot) {
  Metrics metrics;
  metrics.counter("fixwright_bearings", "Bearings admitted.").add(3);
  EXPECT_EQ(metrics.openmetrics(),
            "# TYPE fixwright_bearings counter\n"
            "# HELP fixwright_bearings Bearings admitted.\n"
            "fixwright_bearings_total 3\n"
            "# EOF\n");
}

TEST(OpenMetrics, GaugeHasNoSuffix) {
  Metrics metrics;
  metrics.gauge("fixwright_watermark_lag_seconds", "Behind the clock.").set(2.5);
  EXPECT_EQ(metrics.openmetrics(),
            "# TYPE fixwright_watermark_lag_seconds gauge\n"
            "# HELP fixwright_watermark_lag_seconds Behind the clock.\n"
            "fixwright_watermark_lag_seconds 2.5\n"
            "# EOF\n");
}

// "Line feeds and double quotes and backslashes must be escaped" in label values and in HELP.
TEST(OpenMetrics, QuotesBackslashesAndLineFeedsAreEscaped) {
  Metrics metrics;
  metrics.counter("c", "Say \"a\\b\"\nand c.", {{"station", "A\"B\\C\nD"}}).add();
  const std::string text = metrics.openmetrics();
  EXPECT_THAT(text, HasSubstr("# HELP c Say \\\"a\\\\b\\\"\\nand c.\n"));
  EXPECT_THAT(text, HasSubstr("c_total{station=\"A\\\"B\\\\C\\nD\"} 1\n"));
}

// "All strings MUST be UTF-8": one byte of a peer's must not cost the whole reading.
TEST(OpenMetrics, LabelValuesAreMadeValidUtf8) {
  Metrics metrics;
  metrics.counter("c", "x", {{"station", "A\xff"}}).add();
  EXPECT_THAT(metrics.openmetrics(), HasSubstr("{station=\"A\xEF\xBF\xBD\"}"));
}

// "NaN", "+Inf" and "-Inf" are the words for what is no number.
TEST(OpenMetrics, NumbersThatAreNoneHaveTheirWords) {
  Metrics metrics;
  metrics.gauge("a", "x").set(std::numeric_limits<double>::quiet_NaN());
  metrics.gauge("b", "x").set(std::numeric_limits<double>::infinity());
  metrics.gauge("c", "x").set(-std::numeric_limits<double>::infinity());
  const std::string text = metrics.openmetrics();
  EXPECT_THAT(text, HasSubstr("\na NaN\n"));
  EXPECT_THAT(text, HasSubstr("\nb +Inf\n"));
  EXPECT_THAT(text, HasSubstr("\nc -Inf\n"));
}

// "MetricFamilies MUST NOT be interleaved", and a LabelSet appears once in a family.
TEST(OpenMetrics, SamplesOfAFamilyStandTogetherUnderOneHeader) {
  Metrics metrics;
  metrics.counter("refused", "Refused.", {{"reason", "azimuth_range"}}).add();
  metrics.gauge("other", "Other.").set(1);
  metrics.counter("refused", "Refused.", {{"reason", "duplicate"}}).add(2);
  EXPECT_THAT(metrics.openmetrics(), EndsWith("# TYPE refused counter\n"
                                              "# HELP refused Refused.\n"
                                              "refused_total{reason=\"azimuth_range\"} 1\n"
                                              "refused_total{reason=\"duplicate\"} 2\n"
                                              "# EOF\n"));
}

TEST(Metrics, SameNameAndLabelsAreTheSameCounterInAnyOrder) {
  Metrics metrics;
  Counter& first = metrics.counter("c", "x", {{"station", "A"}, {"reason", "rate"}});
  Counter& second = metrics.counter("c", "x", {{"reason", "rate"}, {"station", "A"}});
  EXPECT_EQ(&first, &second);
  EXPECT_NE(&first, &metrics.counter("c", "x", {{"station", "B"}, {"reason", "rate"}}));
}

TEST(Metrics, CountsOfSeveralThreadsAreAllThere) {
  Metrics metrics;
  std::vector<std::thread> threads;
  for (int t = 0; t < 4; ++t) {
    threads.emplace_back([&metrics] {
      for (int i = 0; i < 1000; ++i) metrics.counter("c", "x", {{"station", "A"}}).add();
    });
  }
  for (std::thread& thread : threads) thread.join();
  EXPECT_EQ(metrics.counter("c", "x", {{"station", "A"}}).value(), 4000U);
}

// The grammar (ABNF of "Text Format"), line by line, with the most awkward values we can think of.
TEST(OpenMetrics, EveryLineFollowsTheGrammar) {
  Metrics metrics;
  metrics.counter("a:b_1", "", {{"x", ""}, {"_y2", "{}=,\"\\\n \xff"}}).add(UINT64_MAX);
  metrics.gauge("g", "ü", {{"x", "測"}}).set(-1.5e-300);
  metrics.gauge("h", "y").set(1e300);
  const std::regex grammar{
      R"re(# (TYPE [a-zA-Z_:][a-zA-Z0-9_:]* (counter|gauge)|HELP [a-zA-Z_:][a-zA-Z0-9_:]* ([^"\\\n]|\\["\\n])*|EOF)|)re"
      R"re([a-zA-Z_:][a-zA-Z0-9_:]*(\{([a-zA-Z_][a-zA-Z0-9_]*="([^"\\\n]|\\["\\n])*",?)+\})? [+-]?[0-9.]+([eE][+-]?[0-9]+)?)re"};
  std::istringstream text{metrics.openmetrics()};
  int lines = 0;
  for (std::string line; std::getline(text, line); ++lines) {
    EXPECT_TRUE(std::regex_match(line, grammar)) << line;
  }
  EXPECT_EQ(lines, 10);  // three families of TYPE, HELP and a sample, and the end
}

TEST(MetricsDeathTest, NamesThatTheStandardForbidsAreOurBug) {
  Metrics metrics;
  EXPECT_DEATH(metrics.counter("1st", "x"), "is_name");
  EXPECT_DEATH(metrics.counter("bearings_total", "x"), "_total");
  EXPECT_DEATH(metrics.counter("c", "x", {{"a:b", "y"}}), "is_name");
  metrics.gauge("g", "x");
  EXPECT_DEATH(metrics.counter("g", "x"), "gauges");
}

}  // namespace
}  // namespace fixwright
