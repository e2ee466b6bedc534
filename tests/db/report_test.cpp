/// `fixwright report`: its numbers are the database's, its sentences accuse nobody, and a bearing
/// that was changed is found.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <fstream>
#include <sstream>

#include "server/report/emitter_report.hpp"
#include "server/tools/report_command.hpp"
#include "tests/db/command.hpp"
#include "tests/db/questions.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using testing::SizeIs;

class ReportTest : public testing::Test {
 protected:
  ReportTest() {
    rows(database.owner(), text_of("tests/db/questions_seed.sql"));
    options.emitter = "12/1";
    options.database = database.reader();
    options.since = "2031-05-01T00:00:00Z";
    options.until = "2031-05-04T12:00:00Z";
    options.question = "Who is on the harbour's channel at night?";
    options.by = "mara";
    const auto* const test = testing::UnitTest::GetInstance()->current_test_info();
    file = testing::TempDir() + "report_" + test->name() + ".html";
    std::remove(file.c_str());
  }
  ~ReportTest() override { std::remove(file.c_str()); }

  std::string told() {
    std::ostringstream out;
    err.str("");
    status = tools::run_report(options, out, err);
    return out.str();
  }
  std::string written() {
    options.output = file;
    EXPECT_EQ(told(), "");
    EXPECT_EQ(status, 0) << err.str();
    std::ostringstream text;
    text << std::ifstream(file).rdbuf();
    return text.str();
  }
  std::string verified() {
    options.emitter.clear();
    options.verify = file;
    return told();
  }
  std::string ask(const std::string& sql) { return value(database.owner(), sql); }

  const ScratchDatabase database;
  tools::ReportOptions options;
  std::string file;
  std::ostringstream err;
  int status = -1;
};

TEST_F(ReportTest, ItsNumbersAreTheDatabases) {
  const std::string html = written();
  EXPECT_THAT(html, HasSubstr("Report on harbour mast (12/1)"));
  EXPECT_THAT(html, HasSubstr("Who is on the harbour's channel at night?"));
  EXPECT_THAT(html, HasSubstr("41.20000° N, 150.30000° W"));
  EXPECT_THAT(html, HasSubstr("156.80001 MHz"));
  EXPECT_THAT(html, HasSubstr("here it reaches " +
                              ask("SELECT round(semi_major_m) FROM "
                                  "emitter_latest WHERE emitter_id = 1") +
                              " m from the middle at most"));
  const std::string of = " FROM fix_bearing_detail WHERE channel_id = 12 AND emitter_id = 1";
  EXPECT_THAT(html, HasSubstr(ask("SELECT count(*)" + of) + " bearings in " +
                              ask("SELECT count(DISTINCT transmission_id)" + of) + " cross-fixes"));
  EXPECT_THAT(html,
              HasSubstr("Set aside, as reflections or another transmitter's: 1 of LANTERN-HEAD."));
  EXPECT_THAT(html, HasSubstr("OSM-12"));
}

TEST_F(ReportTest, EveryBearingIsInItWithTheDigestThatAnybodyCanMakeAgain) {
  const auto quoted = report::references_in(written());
  ASSERT_TRUE(quoted.ok());
  EXPECT_THAT(*quoted, SizeIs(7));
  // By SHA-256 (FIPS 180-4) of coreutils, of the text that the function documents.
  const std::string text =
      "1|71|1|12|1935651600000000|0|250000000|50000|156800000|153.5|1.5|0|-|-|-|-|-|20|-|-|-|-";
  const Finished sum = run_command({"/bin/sh", "-c", "printf '%s' '" + text + "' | sha256sum"});
  EXPECT_EQ(sum.output.substr(0, 64), quoted->front().digest);
}

TEST_F(ReportTest, ItSaysThatItIsEvidenceAndAccusesNobody) {
  options.emitter = "1000007/3";
  const std::string html = written();
  EXPECT_THAT(html, HasSubstr("never proof of who transmits"));
  EXPECT_THAT(html, HasSubstr("not found in the register"));
  for (const std::string word : {"illegal", "unlicensed", "pirate", "offender", "culprit"}) {
    EXPECT_THAT(html, Not(HasSubstr(word)));
  }
}

TEST_F(ReportTest, ItNeedsNothingFromElsewhereAndNoTextBecomesMarkup) {
  options.question = "<script>alert(1)</script> & \"so on\"";
  const std::string html = written();
  EXPECT_THAT(html, HasSubstr("&lt;script&gt;alert(1)&lt;/script&gt; &amp; \"so on\""));
  for (const std::string outside : {"http:", "https:", "src=", "@import", "url("}) {
    EXPECT_THAT(html, Not(HasSubstr(outside)));
  }
  const Finished checked = run_command({"/usr/bin/xmllint", "--html", "--noout", file});
  // libxml2 knows HTML 4: of HTML 5 and SVG it says "Tag svg invalid", and so on; nothing else.
  std::istringstream lines(checked.output);
  for (std::string line; std::getline(lines, line);) {
    if (line.find("error") == std::string::npos) continue;
    EXPECT_THAT(line, testing::ContainsRegex("Tag (svg|line|polygon|rect|text|circle) invalid"));
  }
}

TEST_F(ReportTest, VerifyFindsWhatWasChangedAndWhatIsGone) {
  written();
  EXPECT_EQ(verified(), file + ": all 7 bearings are in the database as the report has them\n");
  EXPECT_EQ(status, 0);
  rows(database.owner(),
       "UPDATE bearing SET azimuth_deg = azimuth_deg + 0.0001 WHERE stream_id = 72 "
       "AND start_at = '2031-05-04 09:00:01Z'");
  EXPECT_EQ(verified(), "");
  EXPECT_EQ(status, 1);
  EXPECT_EQ(err.str(), "report: " + file +
                           ": bearing 1 of stream 72 at 2031-05-04T09:00:01.000000Z: is another in "
                           "the database than in the report\n");
  rows(database.owner(),
       "DELETE FROM bearing WHERE stream_id = 72 "
       "AND start_at = '2031-05-04 09:00:01Z'");
  verified();
  EXPECT_THAT(err.str(), HasSubstr("is not in the database\n"));
}

TEST_F(ReportTest, WhatIsWrongIsOneLine) {
  options.emitter = "harbour";
  told();
  EXPECT_EQ(status, 2);
  EXPECT_THAT(err.str(), HasSubstr("report: emitter = \"harbour\": must be CHANNEL/ID"));
  options.emitter = "12/99";
  told();
  EXPECT_EQ(status, 1);
  EXPECT_EQ(err.str(), "report: emitter 12/99: there is none\n");
  options.emitter = "12/1";
  options.until = "2031-05-02T00:00:00Z";
  told();
  EXPECT_EQ(status, 1);
  EXPECT_THAT(err.str(), HasSubstr("nothing was heard of it from 2031-05-01T00:00:00Z"));
  options.verify = "/etc/hostname";
  told();
  EXPECT_EQ(err.str(), "report: give an emitter, or --verify FILE\n");
  options.emitter.clear();
  told();
  EXPECT_EQ(err.str(), "report: /etc/hostname: it is no report of fixwright\n");
}

TEST_F(ReportTest, AnEmitterWithoutAPlaceStillHasItsReport) {
  rows(database.owner(),
       "UPDATE emitter SET refusal = 'unbounded', position = NULL, region = NULL, "
       "semi_major_m = NULL, semi_minor_m = NULL, orientation_deg = NULL, "
       "probability = NULL, region_kind = NULL, covariance_ee_m2 = NULL, "
       "covariance_en_m2 = NULL, covariance_nn_m2 = NULL WHERE emitter_id = 1");
  const std::string html = written();
  EXPECT_THAT(html, HasSubstr("Its place is not known."));
  EXPECT_THAT(html, Not(HasSubstr("error ellipse at")));
}

}  // namespace
}  // namespace fixwright::test
