#include "server/report/csv.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/unit/report/sample.hpp"

namespace fixwright::report {
namespace {

using testing::accepted_fix;
using testing::refused_fix;
using testing::sample_emitter;
using testing::sample_fix;

TEST(FixCsv, ColumnsAreExactlyThoseOfTheContract) {
  EXPECT_EQ(fix_csv_header(),
            "fix,emitter,time,frequency_hz,latitude,longitude,semi_major_m,semi_minor_m,"
            "orientation_deg,probability,stations,bearings_used,bearings_rejected,chi_square,"
            "grade,refusal\n");
}

TEST(FixCsv, AcceptedFixFillsEveryColumnButRefusal) {
  CrossFix fix = accepted_fix();
  fix.ellipse = {510.25, 220.5, 12.345, 0.95};
  EXPECT_EQ(fix_csv_row(sample_fix(fix)),
            "1017/2031-05-04T10:15:02.250000000Z/1,1017/77,2031-05-04T10:15:03.500Z,433920000,"
            "41.200000000,-150.300000000,510.250,220.500,12.35,0.95,3,3,1,1.2346,checked,\n");
}

TEST(FixCsv, RefusedFixHasAnEmptyPositionAndItsReason) {
  Fix fix = sample_fix(refused_fix());
  fix.emitter.reset();
  EXPECT_EQ(fix_csv_row(fix),
            "1017/2031-05-04T10:15:02.250000000Z/1,,2031-05-04T10:15:03.500Z,433920000,"
            ",,,,,,3,3,1,,,poor_geometry\n");
}

TEST(FixCsv, RowsHaveAsManyCellsAsTheHeader) {
  const auto commas = [](const std::string& row) { return std::ranges::count(row, ','); };
  EXPECT_EQ(commas(fix_csv_row(sample_fix())), commas(fix_csv_header()));
  EXPECT_EQ(commas(fix_csv_row(sample_fix(refused_fix()))), commas(fix_csv_header()));
  EXPECT_EQ(commas(emitter_csv_row(sample_emitter())), commas(emitter_csv_header()));
  EXPECT_EQ(commas(emitter_csv_row(sample_emitter(refused_fix()))), commas(emitter_csv_header()));
}

TEST(EmitterCsv, StateIsOneRowAtItsTime) {
  EXPECT_EQ(emitter_csv_header(),
            "emitter,time,latitude,longitude,semi_major_m,semi_minor_m,orientation_deg,"
            "frequency_hz,state\n");
  CrossFix fix = accepted_fix();
  fix.ellipse = {510.25, 220.5, 12.0, 0.95};
  EXPECT_EQ(emitter_csv_row(sample_emitter(fix)),
            "1017/77,2031-05-04T10:15:03.500Z,41.200000000,-150.300000000,510.250,220.500,12.00,"
            "433920000,confirmed\n");
}

}  // namespace
}  // namespace fixwright::report
