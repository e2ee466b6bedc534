/// What goes to the database as text, without a database.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/store/binary_row.hpp"
#include "server/store/connection_text.hpp"
#include "server/store/text_array.hpp"

namespace fixwright::store {
namespace {

using testing::HasSubstr;

TEST(TextArray, QuotesTextAndMarksWhatIsAbsent) {
  TextArray array;
  array.add(std::string_view("a\"b\\c,{d}"));
  array.add(std::optional<std::string>("NULL"));
  array.add(std::optional<std::string>());
  EXPECT_EQ(array.literal(), R"({"a\"b\\c,{d}","NULL",NULL})");
}

TEST(TextArray, WritesNumbersSoThatTheyReadBackExactly) {
  TextArray array;
  array.add(0.1 + 0.2);
  array.add(std::int64_t{-9'223'372'036'854'775'807 - 1});
  array.add(true);
  EXPECT_EQ(array.literal(), "{0.30000000000000004,-9223372036854775808,t}");
}

TEST(TextArray, WritesPointsWithLongitudeFirst) {
  TextArray array;
  array.add(GeoPoint{41.5, -150.25});
  EXPECT_EQ(array.literal(), R"x({"SRID=4326;POINT(-150.25 41.5)"})x");
}

TEST(TextArray, CutsTimesToTheMicrosecond) {
  TextArray array;
  array.add(TimePoint{Duration{-1}});
  EXPECT_EQ(array.literal(), R"({"1969-12-31T23:59:59.999999Z"})");
}

// PostgreSQL 15 manual, "COPY", Binary Format: signature, two 32-bit zeros, field count,
// length and value in network order, and -1 as trailer.
TEST(CopyBuffer, FollowsThePublishedLayout) {
  CopyBuffer buffer;
  buffer.begin_row(2);
  buffer.add(std::int32_t{258});
  buffer.add_null();
  EXPECT_EQ(std::move(buffer).finish(), std::string("PGCOPY\n\377\r\n\0\0\0\0\0\0\0\0\0"
                                                    "\0\2\0\0\0\4\0\0\1\2\377\377\377\377\377\377",
                                                    35));
}

TEST(ConnectionText, KeepsWhatTheOperatorWroteAndAddsATimeout) {
  const std::string text = connection_text(
      {"postgresql://me@db.invalid/osmere?connect_timeout=9", 1, std::chrono::seconds(5)});
  EXPECT_THAT(text, HasSubstr("connect_timeout='9'"));
  EXPECT_THAT(text, HasSubstr("dbname='osmere'"));
  EXPECT_THAT(connection_text({"host=x", 1, std::chrono::milliseconds(2500)}),
              HasSubstr("connect_timeout='3'"));
}

TEST(ConnectionText, QuotesValues) {
  EXPECT_THAT(connection_text({R"(password='it\'s \\ here')", 1, std::chrono::seconds(5)}),
              HasSubstr(R"(password='it\'s \\ here')"));
}

TEST(ConnectionText, RefusesWhatCannotBeReadInOneLine) {
  try {
    connection_text({"hoost=x", 1, std::chrono::seconds(5)});
    FAIL() << "hoost was taken";
  } catch (const DatabaseRefused& e) {
    EXPECT_THAT(e.what(), HasSubstr("invalid connection option \"hoost\""));
    EXPECT_EQ(std::string(e.what()).find('\n'), std::string::npos);
  }
}

TEST(OneLine, KeepsTheFirstLineWithoutItsRank) {
  EXPECT_EQ(one_line("ERROR:  no such thing\nLINE 1: SELECT\n"), "no such thing");
}

}  // namespace
}  // namespace fixwright::store
