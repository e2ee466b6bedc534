/// Time against RFC 3339 (G. Klyne, C. Newman, "Date and Time on the Internet: Timestamps",
/// 2002), whose section is named beside each test. Seconds since 1970 of its examples were
/// computed with another implementation (Python's datetime).

#include "server/base/time.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

namespace fixwright {
namespace {

using std::chrono::milliseconds;
using testing::HasSubstr;

std::int64_t milliseconds_of(std::string_view text) {
  const auto t = parse_rfc3339(text);
  EXPECT_TRUE(t.ok()) << text;
  return t ? t->time_since_epoch() / milliseconds{1} : 0;
}

void expect_refused(std::string_view text) {
  const auto t = parse_rfc3339(text);
  EXPECT_FALSE(t.ok()) << text;
}

TEST(Rfc3339, ReadsTheExamplesOfSection5Point8) {
  EXPECT_EQ(milliseconds_of("1985-04-12T23:20:50.52Z"), 482196050520);
  EXPECT_EQ(milliseconds_of("1996-12-19T16:39:57-08:00"), 851042397000);
  EXPECT_EQ(milliseconds_of("1937-01-01T12:00:27.87+00:20"), -1041337172130);
}

// The RFC's own two leap seconds. UTC in nanoseconds since 1970 has no place for them.
TEST(Rfc3339, LeapSecondsOfSection5Point8AreRefusedAndNotGuessed) {
  expect_refused("1990-12-31T23:59:60Z");
  expect_refused("1990-12-31T15:59:60-08:00");
}

TEST(Rfc3339, TheSameInstantIsReadFromItsTwoFormsInSection5Point8) {
  EXPECT_EQ(*parse_rfc3339("1996-12-19T16:39:57-08:00"), *parse_rfc3339("1996-12-20T00:39:57Z"));
}

// Section 5.6, notes: "T" and "Z" may be lower case; a space may stand for "T".
TEST(Rfc3339, LowerCaseAndSpaceOfSection5Point6AreRead) {
  EXPECT_EQ(*parse_rfc3339("1985-04-12t23:20:50.52z"), *parse_rfc3339("1985-04-12T23:20:50.52Z"));
  EXPECT_EQ(*parse_rfc3339("1985-04-12 23:20:50.52Z"), *parse_rfc3339("1985-04-12T23:20:50.52Z"));
}

// Section 4.3: the time in UTC is known, the place is not.
TEST(Rfc3339, UnknownLocalOffsetOfSection4Point3IsUtc) {
  EXPECT_EQ(*parse_rfc3339("2031-05-04T10:15:02-00:00"), *parse_rfc3339("2031-05-04T10:15:02Z"));
}

// Section 5.7 and appendix C: days a month, leap years by the rule of 4, 100 and 400.
TEST(Rfc3339, DaysOfTheMonthFollowSection5Point7) {
  EXPECT_TRUE(parse_rfc3339("2000-02-29T00:00:00Z").ok());
  EXPECT_TRUE(parse_rfc3339("2032-02-29T00:00:00Z").ok());
  expect_refused("2100-02-29T00:00:00Z");
  expect_refused("2031-02-29T00:00:00Z");
  expect_refused("2031-04-31T00:00:00Z");
  expect_refused("2031-00-10T00:00:00Z");
  expect_refused("2031-13-10T00:00:00Z");
  expect_refused("2031-05-00T00:00:00Z");
}

TEST(Rfc3339, FieldsOutOfRangeAreRefused) {
  expect_refused("2031-05-04T24:00:00Z");  // section 5.7: hours 00 to 23
  expect_refused("2031-05-04T10:60:00Z");
  expect_refused("2031-05-04T10:15:61Z");
  expect_refused("2031-05-04T10:15:02+24:00");
  expect_refused("2031-05-04T10:15:02+05:60");
  expect_refused("1677-05-04T10:15:02Z");  // before what the nanoseconds hold
  expect_refused("2262-05-04T10:15:02Z");
}

TEST(Rfc3339, OtherFormsAreRefused) {
  for (const auto* text :
       {"", "now", "2031-05-04", "2031-05-04T10:15Z", "2031-05-04T10:15:02", "20310504T101502Z",
        "2031-05-04T10:15:02.Z", "2031-05-04T10:15:02,5Z", "2031-05-04T10:15:02Z ",
        " 2031-05-04T10:15:02Z", "2031-05-04T10:15:02+0100", "2031-05-04T10:15:02+01",
        "2031-5-4T10:15:02Z", "+2031-05-04T10:15:02Z", "2031-05-04T10:15:02.1234567890Z",
        "2031-05-04T10:15:02UTC", "2031-05-04T1O:15:02Z", "1775038502"}) {
    expect_refused(text);
  }
}

TEST(Rfc3339, RefusalShowsTheValueCutShortAndAGoodExample) {
  const std::string message = parse_rfc3339(std::string(1000, 'x')).error();
  EXPECT_THAT(message, HasSubstr("xxx"));
  EXPECT_THAT(message, HasSubstr("2031-05-04T10:15:02.250Z"));
  EXPECT_LT(message.size(), 200U);
}

TEST(Rfc3339, WritesUtcWithTheDigitsAskedForAndNeverRoundsUp) {
  const TimePoint t = *parse_rfc3339("2031-12-31T23:59:59.999999999Z");
  EXPECT_EQ(format_rfc3339(t), "2031-12-31T23:59:59.999Z");
  EXPECT_EQ(format_rfc3339(t, 0), "2031-12-31T23:59:59Z");
  EXPECT_EQ(format_rfc3339(t, 6), "2031-12-31T23:59:59.999999Z");
  EXPECT_EQ(format_rfc3339(t, 9), "2031-12-31T23:59:59.999999999Z");
}

TEST(Rfc3339, TimesBefore1970CountForward) {
  EXPECT_EQ(format_rfc3339(TimePoint{Duration{-1}}, 9), "1969-12-31T23:59:59.999999999Z");
}

TEST(Rfc3339, WhatIsWrittenIsReadAgainToTheNanosecond) {
  std::mt19937_64 random{20310504};
  // 1678 to 2261, in nanoseconds since 1970.
  const auto first = parse_rfc3339("1678-01-01T00:00:00Z")->time_since_epoch().count();
  const auto last = parse_rfc3339("2261-12-31T23:59:59Z")->time_since_epoch().count();
  std::uniform_int_distribution<std::int64_t> any{first, last};
  for (int i = 0; i < 20'000; ++i) {
    const TimePoint t{Duration{any(random)}};
    const auto again = parse_rfc3339(format_rfc3339(t, 9));
    ASSERT_TRUE(again.ok());
    ASSERT_EQ(again->time_since_epoch().count(), t.time_since_epoch().count());
  }
}

TEST(Seconds, AreRoundedToTheNearestNanosecond) {
  EXPECT_EQ(from_seconds(0.1), Duration{100'000'000});
  EXPECT_EQ(from_seconds(-1.5), Duration{-1'500'000'000});
  EXPECT_EQ(from_seconds(1.6e-9), Duration{2});
  EXPECT_DOUBLE_EQ(seconds(Duration{2'500'000'000}), 2.5);
}

}  // namespace
}  // namespace fixwright
