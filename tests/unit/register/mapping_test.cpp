#include "server/register/mapping.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>

#include "server/register/register_csv.hpp"

namespace fixwright::register_ {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

Result<RegisterMapping> mapping_of(const std::string& toml) {
  const std::string path = ::testing::TempDir() + "/mapping_" +
                           ::testing::UnitTest::GetInstance()->current_test_info()->name() +
                           ".toml";
  std::ofstream{path} << toml;
  return read_mapping(path);
}

RegisterMapping delivered() {
  const auto mapping =
      read_mapping(std::string{FIXWRIGHT_ROOT} + "/deploy/config/register_mapping.toml");
  EXPECT_TRUE(mapping.ok()) << (mapping.ok() ? "" : mapping.error());
  return mapping.ok() ? *mapping : RegisterMapping{};
}

RegisterCsv read(const std::string& text, const RegisterMapping& mapping) {
  std::istringstream in{text};
  const auto csv = read_register_csv(in, "licences.csv", mapping);
  EXPECT_TRUE(csv.ok()) << (csv.ok() ? "" : csv.error());
  return csv.ok() ? *csv : RegisterCsv{};
}

constexpr const char* kHeader =
    "Licence;Channel;Holder;Service;Lat;Long;Freq;ERP;Emission;Granted;Expires;Note\n";

TEST(RegisterMapping, DeliveredFileReadsARegulatorsRow) {
  const auto csv = read(std::string{kHeader} +
                            "K77;16;Hafenk\xE4pit\xE4n;coast;411135N;150W1845;156,8;13;16K0F3E;"
                            "01.02.2030;31.12.2031;x\n",
                        delivered());
  ASSERT_THAT(csv.refused, IsEmpty());
  ASSERT_EQ(csv.licences.size(), 1U);
  const Licence& l = csv.licences[0];
  EXPECT_EQ(l.id, "K77 16");
  EXPECT_EQ(l.holder, "Hafenk\xC3\xA4pit\xC3\xA4n");
  EXPECT_NEAR(l.position.latitude_deg, 41.193055555555556, 1e-12);
  EXPECT_NEAR(l.position.longitude_deg, -150.3125, 1e-12);
  EXPECT_DOUBLE_EQ(l.position_sigma_m, std::hypot(50.0, 4.0));  // NAD83's 4 m in quadrature
  EXPECT_EQ(l.frequency_hz, 156'800'000.0);
  EXPECT_EQ(l.bandwidth_hz, 16'000.0);  // what the emission needs
  EXPECT_EQ(l.emission, "16K0F3E");
  EXPECT_NEAR(*l.power_w, 19.952623, 1e-6);  // 13 dBW = 10^1.3 W
  EXPECT_EQ(l.valid_from, *parse_rfc3339("2030-02-01T00:00:00Z"));
  EXPECT_EQ(l.valid_until, *parse_rfc3339("2032-01-01T00:00:00Z"));  // the 31st is included
}

TEST(RegisterMapping, RefusedRowNamesTheRegulatorsColumnAndKeepsItsIdentity) {
  const auto csv = read(std::string{kHeader} +
                            "K1;1;;;411135N;150W1845;156,8;;16KOF3E;;;\n"
                            "K2;1;;;416135N;150W1845;156,8;;;;;\n"
                            "K3;1;;;411135N;150W1845;156.8.1;;;;;\n"
                            "K4;1;;;411135N;150W1845;156,8;;;31.04.2031;;\n"
                            "K5;1;;;411135N;150W1845;156,8;;;;;\n",
                        delivered());
  EXPECT_THAT(
      csv.refused,
      ElementsAre("licences.csv:2: Emission = \"16KOF3E\": 16KOF3E: O at place 4: must be a "
                  "digit",
                  "licences.csv:3: Lat = \"416135N\": must be degrees, minutes and seconds "
                  "to 90 degrees, like 411135N or 41N1135",
                  "licences.csv:4: Freq = \"156.8.1\": must be a number from 1e-06 to 1000000",
                  "licences.csv:5: Granted = \"31.04.2031\": must be a date as DD.MM.YYYY"));
  EXPECT_THAT(csv.refused_ids, ElementsAre("K1 1", "K2 1", "K3 1", "K4 1"));
  ASSERT_EQ(csv.licences.size(), 1U);
  EXPECT_EQ(csv.licences[0].id, "K5 1");
}

TEST(RegisterMapping, BlocksAndPositionsInFourColumnsAreJoined) {
  const auto mapping = mapping_of(
      "[columns]\nid = \"i\"\nlatitude = \"d + m + s + h\"\nlongitude = \"x\"\n"
      "frequency = \"low\"\nfrequency_to = \"high\"\n[units]\nfrequency = \"kHz\"\n"
      "[position]\nform = \"dms\"\n");
  ASSERT_TRUE(mapping.ok()) << mapping.error();
  const auto csv = read(
      "i,d,m,s,h,x,low,high\nA,41,11,35.5,S,150 30 W,155000,157000\n"
      "B,41,11,35.5,S,150 30 W,157000,155000\n",
      *mapping);
  ASSERT_EQ(csv.licences.size(), 1U);
  EXPECT_NEAR(csv.licences[0].position.latitude_deg, -41.193194444444444, 1e-12);
  EXPECT_EQ(csv.licences[0].frequency_hz, 156e6);
  EXPECT_EQ(csv.licences[0].bandwidth_hz, 2e6);
  EXPECT_THAT(csv.refused, ElementsAre("licences.csv:3: high = \"155000\": must not be below low"));
}

TEST(RegisterMapping, ColumnThatTheFileLacksFailsWithItsName) {
  std::istringstream in{"Licence;Channel\n"};
  const auto csv = read_register_csv(in, "licences.csv", delivered());
  ASSERT_FALSE(csv.ok());
  EXPECT_THAT(csv.error(), HasSubstr("licences.csv:1: column Holder is missing"));
}

TEST(RegisterMapping, MistakesOfTheFileAreAllToldAtOnce) {
  const auto mapping = mapping_of(
      "[file]\nseparator = \";;\"\n[columns]\nid = \"i\"\nlatitude = \"a\"\nlongitude = \"o\"\n"
      "[units]\nfrequency = \"Mhz\"\n[position]\ndatum = \"NAD27\"\n[dates]\nformat = \"YY\"\n"
      "[colums]\nid = \"x\"\n");
  ASSERT_FALSE(mapping.ok());
  EXPECT_THAT(mapping.error(), HasSubstr("file.separator = \";;\": must be one character"));
  EXPECT_THAT(mapping.error(), HasSubstr("columns.frequency"));
  EXPECT_THAT(mapping.error(), HasSubstr("units.frequency = \"Mhz\": must be one of"));
  EXPECT_THAT(mapping.error(), HasSubstr("position.datum = \"NAD27\": must be one of"));
  EXPECT_THAT(mapping.error(), HasSubstr("dates.format = \"YY\": must be rfc3339, or hold"));
  EXPECT_THAT(mapping.error(), HasSubstr("colums: unknown table; did you mean columns"));
}

}  // namespace
}  // namespace fixwright::register_
