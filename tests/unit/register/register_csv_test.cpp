#include "server/register/register_csv.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

namespace fixwright::register_ {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

constexpr const char* kHeader =
    "id,holder,service,latitude,longitude,position_sigma_m,frequency_hz,bandwidth_hz,"
    "valid_from,valid_until\n";

Result<RegisterCsv> read(const std::string& text) {
  std::istringstream in{text};
  return read_register_csv(in, "licences.csv");
}

RegisterCsv rows(const std::string& text) {
  const auto csv = read(kHeader + text);
  EXPECT_TRUE(csv.ok());
  return csv.ok() ? *csv : RegisterCsv{};
}

std::string only_refusal(const std::string& row) {
  const auto csv = rows(row + "GOOD,,,41,-150,,150e6,,,\n");
  EXPECT_EQ(csv.licences.size(), 1U) << row;  // nothing else is lost
  return csv.refused.size() == 1 ? csv.refused.front() : "not one refusal";
}

TEST(RegisterCsv, FullRowIsReadFieldByField) {
  const auto csv = rows(
      "OSM-12,\"Harbour Office, Osmere\",maritime,41.1932,-150.3127,30,156800000,16000,"
      "2030-01-01T00:00:00Z,2035-01-01T00:00:00Z\n");
  ASSERT_EQ(csv.licences.size(), 1U);
  const Licence& l = csv.licences.front();
  EXPECT_EQ(l.id, "OSM-12");
  EXPECT_EQ(l.holder, "Harbour Office, Osmere");
  EXPECT_EQ(l.service, "maritime");
  EXPECT_EQ(l.position, (GeoPoint{41.1932, -150.3127}));
  EXPECT_EQ(l.position_sigma_m, 30.0);
  EXPECT_EQ(l.frequency_hz, 156.8e6);
  EXPECT_EQ(l.bandwidth_hz, 16e3);
  EXPECT_EQ(l.valid_from, *parse_rfc3339("2030-01-01T00:00:00Z"));
  EXPECT_EQ(l.valid_until, *parse_rfc3339("2035-01-01T00:00:00Z"));
}

TEST(RegisterCsv, OptionalColumnsMayBeEmptyOrAbsent) {
  const auto csv = read("frequency_hz,note,longitude,latitude,id\n150e6,x,180,41,OSM-1\n");
  ASSERT_TRUE(csv.ok());
  ASSERT_EQ(csv->licences.size(), 1U);
  const Licence& l = csv->licences.front();
  EXPECT_EQ(l.position_sigma_m, 100.0);
  EXPECT_EQ(l.position.longitude_deg, -180.0);  // the same meridian, as the model writes it
  EXPECT_FALSE(l.valid_from || l.valid_until);
}

TEST(RegisterCsv, EachMistakeIsOneLineWithPlaceValueAndRule) {
  EXPECT_EQ(only_refusal("OSM-1,,,91,-150,,150e6,,,\n"),
            "licences.csv:2: latitude = \"91\": must be a number from -90 to 90");
  EXPECT_EQ(only_refusal("OSM-1,,,41,150W,,150e6,,,\n"),
            "licences.csv:2: longitude = \"150W\": must be a number from -180 to 180");
  EXPECT_EQ(only_refusal("OSM-1,,,41,-150,,0,,,\n"),
            "licences.csv:2: frequency_hz = \"0\": must be a number from 1 to 1e+12");
  EXPECT_EQ(only_refusal("OSM-1,,,41,-150,,,,,\n"),
            "licences.csv:2: frequency_hz = \"\": must be a number from 1 to 1e+12");
  EXPECT_EQ(only_refusal("OSM-1,,,41,-150,-3,150e6,,,\n"),
            "licences.csv:2: position_sigma_m = \"-3\": must be a number from 0 to 100000");
  EXPECT_EQ(only_refusal(",,,41,-150,,150e6,,,\n"), "licences.csv:2: id = \"\": must not be empty");
  EXPECT_EQ(only_refusal("OSM-1,,,41,-150,,150e6,,01.02.2030,\n"),
            "licences.csv:2: valid_from = \"01.02.2030\": must be RFC 3339, like "
            "2031-05-04T00:00:00Z");
  EXPECT_EQ(only_refusal("OSM-1,,,41,-150,,150e6,,2031-01-02T00:00:00Z,2031-01-01T00:00:00Z\n"),
            "licences.csv:2: valid_until = \"2031-01-01T00:00:00Z\": must be after valid_from");
  EXPECT_EQ(only_refusal("OSM-1,,,41\n"),
            "licences.csv:2: fields = \"4\": must be 10, as in the header");
}

TEST(RegisterCsv, SecondRowWithAnIdIsRefusedAndTheFirstKept) {
  const auto csv = rows("OSM-1,first,,41,-150,,150e6,,,\nOSM-1,second,,41,-150,,150e6,,,\n");
  ASSERT_EQ(csv.licences.size(), 1U);
  EXPECT_EQ(csv.licences.front().holder, "first");
  EXPECT_THAT(csv.refused, ElementsAre("licences.csv:3: id = \"OSM-1\": is in the file twice; the "
                                       "first row was kept"));
}

TEST(RegisterCsv, BrokenRecordIsListedAndReadingGoesOn) {
  const auto csv = rows("OSM-1,H\xF8,,41,-150,,150e6,,,\nOSM-2,,,41,-150,,150e6,,,\n");
  EXPECT_EQ(csv.licences.size(), 1U);
  EXPECT_THAT(csv.refused, ElementsAre("licences.csv:2: text is not UTF-8; convert the file and "
                                       "read it again"));
}

TEST(RegisterCsv, HeaderThatCannotBeUsedFailsTheWholeFile) {
  const auto missing = read("id,latitude,longitude\n1,2,3\n");
  ASSERT_FALSE(missing.ok());
  EXPECT_EQ(missing.error(),
            "licences.csv:1: column frequency_hz is missing; the first line must name the columns");
  const auto empty = read("");
  ASSERT_FALSE(empty.ok());
  EXPECT_EQ(empty.error(), "licences.csv: is empty; the first line must name the columns");
  EXPECT_THAT(rows("").licences, IsEmpty());
}

}  // namespace
}  // namespace fixwright::register_
