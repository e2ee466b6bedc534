#include "server/register/fields.hpp"

#include <gtest/gtest.h>

namespace fixwright::register_ {
namespace {

std::optional<double> latitude(std::string_view text, AngleForm form) {
  return read_angle(text, form, Axis::latitude);
}
std::optional<double> longitude(std::string_view text, AngleForm form) {
  return read_angle(text, form, Axis::longitude);
}

// 41 deg 11 min 35.5 s = 41 + (11 + 35.5 / 60) / 60.
constexpr double kLatitude = 41.193194444444444;
constexpr double kWest = -150.3125;  // 150 deg 18 min 45 s

TEST(AngleFields, DegreesMinutesSecondsHoweverTheyAreParted) {
  for (const char* text : {"41 11 35.5 N", "41°11'35.5\"N", "41-11-35.5N", "N 41:11:35.5",
                           "+41 11 35.5", "41º 11′ 35.5″ n", "041 11 35.5"}) {
    ASSERT_TRUE(latitude(text, AngleForm::dms)) << text;
    EXPECT_NEAR(*latitude(text, AngleForm::dms), kLatitude, 1e-12) << text;
  }
  for (const char* text : {"150 18 45 W", "-150 18 45", "150°18.75'W", "W150.3125"}) {
    ASSERT_TRUE(longitude(text, AngleForm::dms)) << text;
    EXPECT_NEAR(*longitude(text, AngleForm::dms), kWest, 1e-12) << text;
  }
}

TEST(AngleFields, PackedAnglesHaveAPlaceForEachPart) {
  for (const char* text : {"411135.5N", "N411135.5", "41N1135.5", "+411135.5", "411135.5"}) {
    ASSERT_TRUE(latitude(text, AngleForm::packed)) << text;
    EXPECT_NEAR(*latitude(text, AngleForm::packed), kLatitude, 1e-12) << text;
  }
  for (const char* text : {"1501845W", "-1501845", "150W1845", "15018.75W"}) {
    ASSERT_TRUE(longitude(text, AngleForm::packed)) << text;
    EXPECT_NEAR(*longitude(text, AngleForm::packed), kWest, 1e-12) << text;
  }
}

TEST(AngleFields, WhatIsNotWhollyAnAngleIsNone) {
  for (const char* text :
       {"", "N", "41 60 00 N", "41 11 60 N", "41.5 11 35", "41 11 35 5", "91 0 0", "-41 11 35 S",
        "41 11 35 E", "41 11 35 X", "41 N 11 N", "90 0 0.1 N"}) {
    EXPECT_FALSE(latitude(text, AngleForm::dms)) << text;
  }
  for (const char* text : {"4111355", "41113", "416000N", "411160N", "41E1135", "411135 N",
                           "911135N", "41-1135", "41.1135N"}) {
    EXPECT_FALSE(latitude(text, AngleForm::packed)) << text;
  }
  EXPECT_FALSE(longitude("501845W", AngleForm::packed));  // three digits of degrees
  EXPECT_FALSE(latitude("41N", AngleForm::decimal));
  EXPECT_FALSE(latitude("90.1", AngleForm::decimal));
  EXPECT_EQ(longitude("-180", AngleForm::decimal), -180.0);
}

TEST(DateFields, EachPartStandsWhereTheFormatHasIt) {
  const TimePoint day = *parse_rfc3339("2031-05-04T00:00:00Z");
  EXPECT_EQ(read_date("04.05.2031", "DD.MM.YYYY"), day);
  EXPECT_EQ(read_date("05/04/2031", "MM/DD/YYYY"), day);
  EXPECT_EQ(read_date("20310504", "YYYYMMDD"), day);
  EXPECT_EQ(read_date("2031-05-04 10:15:02", "YYYY-MM-DD hh:mm:ss"),
            *parse_rfc3339("2031-05-04T10:15:02Z"));
  EXPECT_EQ(read_date("2031-05-04T02:00:00+02:00", "rfc3339"), day);
  // Once a century has no leap day: Gregorian calendar, ISO 8601.
  EXPECT_TRUE(read_date("29.02.2000", "DD.MM.YYYY"));
  EXPECT_FALSE(read_date("29.02.2100", "DD.MM.YYYY"));
  for (const char* text : {"", "4.5.2031", "04.05.31", "31.04.2031", "04-05-2031", "04.05.2031 ",
                           "04.13.2031", "-4.05.2031", "04.05.9999"}) {
    EXPECT_FALSE(read_date(text, "DD.MM.YYYY")) << text;
  }
}

TEST(DateFields, FormatNeedsYearMonthAndDayOnce) {
  for (const char* good : {"rfc3339", "YYYY-MM-DD", "DD.MM.YYYY hh:mm", "YYYYMMDDhhmmss"}) {
    EXPECT_TRUE(is_date_format(good)) << good;
  }
  for (const char* bad : {"", "YYYY-MM", "YY-MM-DD", "YYYY-MM-DD DD", "iso"}) {
    EXPECT_FALSE(is_date_format(bad)) << bad;
  }
}

// Source: ISO/IEC 8859-1 and Unicode's first 256 code points; UTF-8 by RFC 3629.
TEST(Latin1, EveryByteIsTheCodePointOfItsNumber) {
  EXPECT_EQ(utf8_of_latin1("Hafenk\xE4pit\xE4n"), "Hafenk\xC3\xA4pit\xC3\xA4n");
  EXPECT_EQ(utf8_of_latin1("\xFF\x80 A"), "\xC3\xBF\xC2\x80 A");
}

}  // namespace
}  // namespace fixwright::register_
