#include "server/tools/bearing_csv.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>
#include <string>

namespace fixwright::tools {
namespace {

using ::testing::HasSubstr;

constexpr const char* kHeader =
    "time,station,latitude,longitude,frequency_hz,azimuth_deg,sigma_deg\n";
constexpr const char* kGood = "2031-05-04T10:15:02Z,MOSS-RIDGE,41.33,-150.02,145600000,231.5,2\n";

struct Outcome {
  BearingCsv csv;
  std::string complaints;
};

Outcome read(const std::string& text) {
  std::istringstream in{text};
  std::ostringstream complaints;
  auto csv = read_bearing_csv(in, "log.csv", complaints);
  return {csv ? std::move(csv).value() : BearingCsv{}, complaints.str()};
}

TEST(BearingCsv, ColumnsComeInAnyOrderAndOthersAreIgnored) {
  const auto out = read(
      "note,sigma_deg,azimuth_deg,time,longitude,latitude,station,frequency_hz\n"
      "\"a, b\",2,231.5,2031-05-04T12:15:02.5+02:00,-150.02,41.33,MOSS-RIDGE,145.6e6\n");
  ASSERT_EQ(out.csv.bearings.size(), 1U) << out.complaints;
  const Bearing& b = out.csv.bearings[0];
  EXPECT_EQ(format_rfc3339(b.start), "2031-05-04T10:15:02.500Z");
  EXPECT_EQ(b.station_position, (GeoPoint{41.33, -150.02}));
  EXPECT_DOUBLE_EQ(b.frequency_hz, 145.6e6);
  EXPECT_DOUBLE_EQ(b.azimuth_deg, 231.5);
  EXPECT_DOUBLE_EQ(b.sigma_deg, 2.0);
  EXPECT_FALSE(b.station_moves);
}

TEST(BearingCsv, ByteOrderMarkAndCarriageReturnsAreRead) {
  const auto out = read(
      "\xEF\xBB\xBFtime,station,latitude,longitude,frequency_hz,azimuth_deg,"
      "sigma_deg\r\n2031-05-04T10:15:02Z,A,1,2,3,4,5\r\n");
  EXPECT_EQ(out.csv.bearings.size(), 1U) << out.complaints;
}

struct BadRow {
  const char* row;
  const char* complaint;
};

class BearingCsvRefuses : public ::testing::TestWithParam<BadRow> {};

TEST_P(BearingCsvRefuses, OneRowWithOneLineAndKeepsTheOthers) {
  const auto out = read(std::string{kHeader} + kGood + GetParam().row + "\n" + kGood);
  EXPECT_EQ(out.csv.bearings.size(), 2U);
  EXPECT_EQ(out.csv.skipped, 1U);
  EXPECT_THAT(out.complaints, HasSubstr(GetParam().complaint));
  EXPECT_THAT(out.complaints, HasSubstr("log.csv:3: "));
  EXPECT_EQ(std::count(out.complaints.begin(), out.complaints.end(), '\n'), 1);
}

INSTANTIATE_TEST_SUITE_P(
    Rows, BearingCsvRefuses,
    ::testing::Values(
        BadRow{"2031-05-04T10:15:02Z,A,41,-150,1e8,361,2", "azimuth_deg 361: must be in [0, 360)"},
        BadRow{"2031-05-04T10:15:02Z,A,41,-150,1e8,360,2", "azimuth_deg 360: must be in [0, 360)"},
        BadRow{"2031-05-04T10:15:02Z,A,41,-150,1e8,10,0", "sigma_deg 0: must be in (0, 90]"},
        BadRow{"2031-05-04T10:15:02Z,A,41,-150,1e8,10,nan", "sigma_deg nan: must be in (0, 90]"},
        BadRow{"2031-05-04T10:15:02Z,A,41,-150,0,10,2", "frequency_hz 0: must be in (0, 1e12]"},
        BadRow{"2031-05-04T10:15:02Z,A,91,-150,1e8,10,2", "latitude 91: must be in [-90, 90]"},
        BadRow{"2031-05-04T10:15:02Z,A,41,181,1e8,10,2", "longitude 181: must be in [-180, 180]"},
        BadRow{"2031-05-04T10:15:02Z,,41,-150,1e8,10,2", "station (empty): must have 1 to 64"},
        BadRow{"2031-05-04 10:15,A,41,-150,1e8,10,2", "time 2031-05-04 10:15: "},
        BadRow{"2031-05-04T10:15:02Z,A,41", "longitude (empty): must be in [-180, 180]"},
        BadRow{"2031-05-04T10:15:02Z,A\xFF,41,-150,1e8,10,2", "UTF-8"}));

TEST(BearingCsv, AMissingColumnIsNamed) {
  std::istringstream in{"time,station,latitude,longitude,frequency_hz,azimuth_deg\n"};
  std::ostringstream complaints;
  const auto csv = read_bearing_csv(in, "log.csv", complaints);
  ASSERT_FALSE(csv);
  EXPECT_THAT(csv.error(), HasSubstr("sigma_deg"));
}

TEST(BearingCsv, AnEmptyFileHasNoHeader) {
  std::istringstream in{""};
  std::ostringstream complaints;
  const auto csv = read_bearing_csv(in, "log.csv", complaints);
  ASSERT_FALSE(csv);
  EXPECT_THAT(csv.error(), HasSubstr("log.csv:1: no header"));
}

TEST(BearingCsv, ComplaintsEndAtAHundredButAreCounted) {
  std::string text = kHeader;
  for (int i = 0; i < 250; ++i) {
    text += "2031-05-04T10:15:02Z,A,41,-150,1e8,400,2\n";
  }
  const auto out = read(text);
  EXPECT_EQ(out.csv.skipped, 250U);
  EXPECT_EQ(std::count(out.complaints.begin(), out.complaints.end(), '\n'), 101);
}

TEST(BearingCsv, StationIdsFollowTheAlphabetNotTheRows) {
  const auto out = read(std::string{kHeader} + "2031-05-04T10:15:02Z,B,1,2,3,4,5\n" +
                        "2031-05-04T10:15:02Z,A,1,2,3,4,5\n");
  ASSERT_EQ(out.csv.bearings.size(), 2U);
  EXPECT_EQ(out.csv.bearings[0].key.station, 2);
  EXPECT_EQ(out.csv.bearings[1].key.station, 1);
}

TEST(BearingCsv, AStationAtTwoPlacesMoves) {
  const auto out = read(std::string{kHeader} + "2031-05-04T10:15:02Z,A,1,2,3,4,5\n" +
                        "2031-05-04T10:15:03Z,A,1,2.1,3,4,5\n");
  ASSERT_EQ(out.csv.bearings.size(), 2U);
  EXPECT_TRUE(out.csv.bearings[0].station_moves);
}

}  // namespace
}  // namespace fixwright::tools
