// The report's two faces and its exit code.
#include <gmock/gmock.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "station_agent/check/cautions.hpp"
#include "station_agent/check/report_json.hpp"
#include "station_agent/check/report_text.hpp"

namespace fixwright::agent::check {
namespace {

using testing::HasSubstr;

Report report_with(std::vector<Severity> severities) {
  Report r{"LANTERN-HEAD", "iq", TimePoint{std::chrono::seconds{1'900'000'000}}, {}};
  for (const Severity s : severities)
    r.findings.push_back({"noise", s, "what it is", "what to do"});
  return r;
}

TEST(ExitCode, FollowsTheWorstFinding) {
  const auto code = [](std::vector<Severity> s) { return exit_code(report_with(s).severity()); };
  EXPECT_EQ(code({}), 0);
  EXPECT_EQ(code({Severity::not_applicable}), 0);
  EXPECT_EQ(code({Severity::ok, Severity::advice}), 0);
  EXPECT_EQ(code({Severity::warning, Severity::advice}), 1);
  EXPECT_EQ(code({Severity::fault, Severity::warning}), 3);
}

TEST(ReportText, FitsEightyColumnsAndTellsWhatAndWhatToDo) {
  Report r = report_with({Severity::warning});
  std::string words;
  for (int i = 0; i < 60; ++i) words += "w" + std::to_string(i) + " ";
  r.findings.push_back({"order", Severity::fault, words, std::string(200, 'x')});
  const std::string text = text_of(r);
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), 80U) << line;
  EXPECT_THAT(text, HasSubstr(" warning  noise       what it is\n"));
  EXPECT_THAT(text, HasSubstr("-> what to do\n"));
  EXPECT_THAT(text, HasSubstr("w59"));
  EXPECT_THAT(text, HasSubstr("fault: 1 fault(s), 1 warning(s), 0 advice. Exit code 3."));
}

TEST(ReportText, WhatDoesNotApplyForOneReasonIsOneLine) {
  Report r = report_with({});
  for (const char* area : {"spacing", "noise"}) {
    r.findings.push_back({area, Severity::not_applicable, "no samples", ""});
  }
  EXPECT_THAT(text_of(r), HasSubstr("spacing, noise: no samples\n"));
}

TEST(ReportText, EveryReportCarriesTheCautions) {
  const std::string text = text_of(report_with({}));
  for (const char* word : {"Height", "Power lines", "Lightning", "Exposure", "passenger operates",
                           "Private land", "regulated"}) {
    EXPECT_THAT(text, HasSubstr(word));
  }
  for (const auto caution : kCautions) EXPECT_THAT(text, HasSubstr(std::string(caution)));
}

TEST(ReportJson, IsOneObjectWithEveryFinding) {
  Report r = report_with({Severity::warning});
  r.findings.push_back(
      {"spacing",
       Severity::ok,
       "0.42 \"wave\x01lengths",
       "",
       {{"spacing_wavelengths_low", 0.4227}, {"bad", std::numeric_limits<double>::infinity()}}});
  const auto json = nlohmann::json::parse(json_of(r));
  EXPECT_EQ(json.at("format"), 1);
  EXPECT_EQ(json.at("station"), "LANTERN-HEAD");
  EXPECT_EQ(json.at("at"), "2030-03-17T17:46:40.000Z");
  EXPECT_EQ(json.at("severity"), "warning");
  EXPECT_EQ(json.at("exit_code"), 1);
  ASSERT_EQ(json.at("findings").size(), 2U);
  EXPECT_EQ(json.at("findings")[0].at("to_do"), "what to do");
  const auto& spacing = json.at("findings")[1];
  EXPECT_EQ(spacing.at("area"), "spacing");
  EXPECT_DOUBLE_EQ(spacing.at("figures").at("spacing_wavelengths_low"), 0.4227);
  EXPECT_TRUE(spacing.at("figures").at("bad").is_null());
  EXPECT_EQ(json.at("cautions").size(), kCautions.size());
}

}  // namespace
}  // namespace fixwright::agent::check
