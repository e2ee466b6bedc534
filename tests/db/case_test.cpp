/// `fixwright case`: from the complaint to a report that can be checked.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <fstream>
#include <sstream>

#include "server/tools/case_command.hpp"
#include "server/tools/report_command.hpp"
#include "tests/db/questions.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

using Command = int (*)(const tools::CaseOptions&, std::ostream&, std::ostream&);

class CaseTest : public testing::Test {
 protected:
  CaseTest() {
    rows(database.owner(), text_of("tests/db/questions_seed.sql"));
    rows(database.owner(), "TRUNCATE case_file, case_note, case_emitter RESTART IDENTITY");
  }

  tools::CaseOptions options(const std::string& text = "") const {
    tools::CaseOptions o;
    o.database = database.writer();
    o.id = 1;
    o.by = "mara";
    o.text = text;
    return o;
  }
  std::string told(Command command, const tools::CaseOptions& o) {
    std::ostringstream out;
    err.str("");
    status = command(o, out, err);
    return out.str();
  }
  /// About the harbour's channel, noticed near the first emitter.
  tools::CaseOptions complaint() const {
    auto o = options("What disturbs the harbour's channel?");
    o.complaint = "a hum over the pilot, since Saturday";
    o.since = "2031-05-03T12:00:00Z";
    o.until = "2031-05-04T12:00:00Z";
    o.frequency_mhz = 156.8;
    o.place = "41.2,-150.3";
    o.radius_km = 5.0;
    return o;
  }
  std::vector<std::string> ask(const std::string& sql) { return rows(database.owner(), sql); }

  const ScratchDatabase database;
  std::ostringstream err;
  int status = -1;
};

TEST_F(CaseTest, AComplaintGathersWhatWasHeardThereThen) {
  const std::string out = told(tools::run_case_open, complaint());
  ASSERT_EQ(status, 0) << err.str();
  EXPECT_THAT(out, HasSubstr("case 1, open\nWhat disturbs the harbour's channel?\n"));
  // (12, 2) is on the frequency too, 8 km from there.
  EXPECT_THAT(ask("SELECT channel_id, emitter_id, why FROM case_emitter_list"),
              ElementsAre("12|1|heard in its stretch, on its frequency, within its radius"));
  auto wide = complaint();
  wide.place.clear();
  told(tools::run_case_open, wide);
  EXPECT_THAT(ask("SELECT emitter_id FROM case_emitter WHERE case_id = 2 ORDER BY 1"),
              ElementsAre("1", "2"));
}

TEST_F(CaseTest, AnAlertGivesItsEmitter) {
  auto o = options("Who is this?");
  o.alert = "new/1000007/3";
  told(tools::run_case_open, o);
  EXPECT_EQ(status, 0) << err.str();
  EXPECT_THAT(ask("SELECT channel_id, emitter_id, added_by, why FROM case_emitter"),
              ElementsAre("1000007|3|mara|it was opened about it"));
}

TEST_F(CaseTest, NotesAndEmittersAreAddedUntilItIsClosed) {
  told(tools::run_case_open, complaint());
  told(tools::run_case_note, options("the hum stops at six"));
  auto add = options("same hum");
  add.emitter = "1000007/3";
  told(tools::run_case_add, add);
  EXPECT_EQ(status, 0) << err.str();
  told(tools::run_case_close, options("handed to the authority"));
  const std::string shown = told(tools::run_case_show, options());
  EXPECT_THAT(shown, HasSubstr("case 1, closed"));
  EXPECT_THAT(shown, HasSubstr("the hum stops at six"));
  EXPECT_THAT(shown, HasSubstr("1000007/3"));
  EXPECT_THAT(shown, HasSubstr("closed: handed to the authority"));
  told(tools::run_case_note, options("and another thing"));
  EXPECT_EQ(status, 1);
  EXPECT_EQ(err.str(), "case: case 1 is closed; nothing was written\n");
  EXPECT_THAT(told(tools::run_case_list, options()), HasSubstr("closed"));
  EXPECT_THAT(ask("SELECT open, notes, emitters FROM case_list"), ElementsAre("f|1|2"));
}

TEST_F(CaseTest, ItsReportHasTheQuestionTheCourseAndEachEmitterAndIsChecked) {
  told(tools::run_case_open, complaint());
  told(tools::run_case_note, options("<b>the hum</b> stops at six"));
  auto o = options();
  o.output = testing::TempDir() + "case_report_test.html";
  std::remove(o.output.c_str());
  EXPECT_EQ(told(tools::run_case_report, o), "");
  ASSERT_EQ(status, 0) << err.str();
  std::ostringstream html;
  html << std::ifstream(o.output).rdbuf();
  for (const std::string part :
       {"Report on case 1", "What disturbs the harbour's channel?", "a hum over the pilot",
        "&lt;b&gt;the hum&lt;/b&gt; stops at six", "About harbour mast (12/1)",
        "never proof of who transmits", "Every bearing of harbour mast (12/1)"}) {
    EXPECT_THAT(html.str(), HasSubstr(part));
  }
  tools::ReportOptions check;
  check.database = database.reader();
  check.verify = o.output;
  std::ostringstream out;
  EXPECT_EQ(tools::run_report(check, out, err), 0) << err.str();
  EXPECT_THAT(out.str(), HasSubstr("all 7 bearings are in the database"));
  std::remove(o.output.c_str());
}

TEST_F(CaseTest, WhatIsWrongIsOneLineAndNothingIsWritten) {
  const auto fault = [&](Command command, const tools::CaseOptions& o) {
    told(command, o);
    return std::to_string(status) + " " + err.str();
  };
  EXPECT_EQ(fault(tools::run_case_open, options()),
            "1 case: question is empty; nothing was written\n");
  auto o = complaint();
  o.by.clear();
  EXPECT_EQ(fault(tools::run_case_open, o), "1 case: by is empty; nothing was written\n");
  o = complaint();
  o.until = o.since;
  EXPECT_THAT(fault(tools::run_case_open, o), HasSubstr("its end is not after its begin"));
  o = complaint();
  o.place = "41.2";
  EXPECT_EQ(fault(tools::run_case_open, o),
            "2 case: --place = \"41.2\": must be LATITUDE,LONGITUDE in degrees\n");
  o = complaint();
  o.alert = "none";
  EXPECT_EQ(fault(tools::run_case_open, o),
            "1 case: there is no alert none; nothing was written\n");
  o = complaint();
  o.emitter = "12/99";
  EXPECT_EQ(fault(tools::run_case_open, o),
            "1 case: there is no emitter 12/99; nothing was written\n");
  EXPECT_EQ(fault(tools::run_case_show, options()), "1 case: there is no case 1\n");
  EXPECT_EQ(fault(tools::run_case_note, options("two\nlines")),
            "1 case: note = \"two\\nlines\": must be one line of plain UTF-8 text of 2000 bytes at "
            "most; nothing was written\n");
  EXPECT_THAT(ask("SELECT FROM case_file"), IsEmpty());
}

}  // namespace
}  // namespace fixwright::test
