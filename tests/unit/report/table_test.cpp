#include "server/report/table.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/unit/report/sample.hpp"

namespace fixwright::report {
namespace {

using testing::accepted_fix;
using testing::at;
using ::testing::HasSubstr;
using ::testing::Not;
using testing::refused_fix;
using testing::sample_emitter;
using testing::sample_match;

std::string row_of(const EmitterView& view, const char* now = "2031-05-04T10:15:08Z") {
  const auto table = emitter_table(std::vector{view}, at(now));
  return table.substr(table.find('\n') + 1);
}

TEST(TextTable, ColumnsLineUpByCodePointsAndLinesEndWithoutBlanks) {
  const std::vector<std::vector<std::string>> rows{
      {"NAME", "N"}, {"h\xC3\xB8yde", "12"}, {"x", ""}};
  EXPECT_EQ(text_table(rows), "NAME   N\nh\xC3\xB8yde  12\nx\n");
}

TEST(TextTable, TextFromTheAirCannotMoveTheCursor) {
  const std::vector<std::vector<std::string>> rows{{"a\x1B[2J\nb"}};
  const auto text = text_table(rows);
  EXPECT_THAT(text, Not(HasSubstr("\x1B")));
  EXPECT_EQ(std::ranges::count(text, '\n'), 1);
}

TEST(EmitterTable, RowShowsWhereHowWellAndSinceWhen) {
  CrossFix fix = accepted_fix();
  fix.ellipse = {510.25, 220.5, 12.0, 0.95};
  const std::vector<EmitterView> views{
      {sample_emitter(fix), sample_match(RegisterVerdict::registered), "mast", false, {}}};
  EXPECT_EQ(
      emitter_table(views, at("2031-05-04T10:15:08Z")),
      "FREQUENCY     POSITION             95 % ELLIPSE          STATIONS  STATE      REGISTER  "
      "LAST HEARD  EMITTER  NAME\n"
      "433.9200 MHz  41.20000 -150.30000  510 x 220 m, 012 deg  3         confirmed  OSM-12    "
      "4 s ago     1017/77  mast\n");
}

TEST(EmitterTable, RegisterColumnSaysWhatIsKnownAndNoMore) {
  const auto with = [](RegisterVerdict v) {
    return row_of({sample_emitter(), sample_match(v), {}, false, {}});
  };
  EXPECT_THAT(with(RegisterVerdict::unregistered), HasSubstr("  not found  "));
  EXPECT_THAT(with(RegisterVerdict::position_disagrees), HasSubstr("  2.1 km from OSM-12  "));
  EXPECT_THAT(with(RegisterVerdict::off_frequency), HasSubstr("  +5.2 kHz from OSM-12  "));
  EXPECT_THAT(with(RegisterVerdict::out_of_validity), HasSubstr("  OSM-12, not in force  "));
  EXPECT_THAT(with(RegisterVerdict::undecided), HasSubstr("  undecided  "));
  EXPECT_THAT(row_of({sample_emitter(), {}, {}, false, {}}), HasSubstr("  -  "));
}

TEST(EmitterTable, RefusalStandsWhereTheEllipseWouldBe) {
  EXPECT_THAT(row_of({sample_emitter(refused_fix()), {}, {}, false, {}}),
              HasSubstr("-         poor_geometry"));
}

TEST(EmitterTable, MovingEmitterShowsSpeedAndCourseWithinTheCircle) {
  Emitter e = sample_emitter();
  e.velocity = Velocity{13.6, 359.7, 0.5};
  EXPECT_THAT(row_of({e, {}, {}, false, {}}), HasSubstr("confirmed, 14 m/s to 000"));
}

TEST(EmitterTable, AgeGrowsFromSecondsToDaysAndIsNeverNegative) {
  const EmitterView v{sample_emitter(), {}, {}, false, {}};
  EXPECT_THAT(row_of(v, "2031-05-04T10:15:00Z"), HasSubstr("0 s ago"));
  EXPECT_THAT(row_of(v, "2031-05-04T10:20:00Z"), HasSubstr("4 min ago"));
  EXPECT_THAT(row_of(v, "2031-05-04T15:20:00Z"), HasSubstr("5 h ago"));
  EXPECT_THAT(row_of(v, "2031-05-09T15:20:00Z"), HasSubstr("5 d ago"));
}

}  // namespace
}  // namespace fixwright::report
