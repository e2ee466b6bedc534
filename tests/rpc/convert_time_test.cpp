/// Ranges of the proto types: google/protobuf/timestamp.proto (0001-01-01T00:00:00Z to
/// 9999-12-31T23:59:59.999999999Z, nanos 0 to 999 999 999, counting forward) and
/// duration.proto (±315 576 000 000 s, nanos of the same sign).

#include "server/rpc/convert_time.hpp"

#include <gtest/gtest.h>

#include <limits>
#include <random>

namespace fixwright::rpc {
namespace {

google::protobuf::Timestamp timestamp(std::int64_t seconds, std::int32_t nanos) {
  google::protobuf::Timestamp t;
  t.set_seconds(seconds);
  t.set_nanos(nanos);
  return t;
}

google::protobuf::Duration duration(std::int64_t seconds, std::int32_t nanos) {
  google::protobuf::Duration d;
  d.set_seconds(seconds);
  d.set_nanos(nanos);
  return d;
}

TimePoint rfc3339(std::string_view text) { return parse_rfc3339(text).value(); }

TEST(ConvertTime, ATimestampThatOursHoldsComesBackToTheNanosecond) {
  std::mt19937_64 random(1);
  const std::int64_t first = rfc3339("1678-01-01T00:00:00Z").time_since_epoch().count();
  const std::int64_t last = rfc3339("2261-12-31T23:59:59.999999999Z").time_since_epoch().count();
  std::uniform_int_distribution<std::int64_t> any(first, last);
  for (int i = 0; i < 10'000; ++i) {
    const TimePoint t{Duration{any(random)}};
    ASSERT_EQ(from_proto(to_proto(t)), t);
  }
  for (const std::int64_t edge : {first, std::int64_t{-1}, std::int64_t{0}, last}) {
    EXPECT_EQ(from_proto(to_proto(TimePoint{Duration{edge}})), TimePoint{Duration{edge}});
  }
}

TEST(ConvertTime, NanosOfATimeBefore1970CountForward) {
  const auto proto = to_proto(rfc3339("1969-12-31T23:59:59.75Z"));
  EXPECT_EQ(proto.seconds(), -1);
  EXPECT_EQ(proto.nanos(), 750'000'000);
}

TEST(ConvertTime, ATimestampOutsideOursIsOneOfTheTwoEnds) {
  constexpr std::int64_t kYear1 = -62'135'596'800;
  constexpr std::int64_t kYear9999 = 253'402'300'799;
  EXPECT_EQ(from_proto(timestamp(kYear1, 0)), TimePoint::min());
  EXPECT_EQ(from_proto(timestamp(kYear9999, 999'999'999)), TimePoint::max());
  EXPECT_EQ(from_proto(timestamp(std::numeric_limits<std::int64_t>::min(), 0)), TimePoint::min());
  EXPECT_EQ(from_proto(timestamp(std::numeric_limits<std::int64_t>::max(), 999'999'999)),
            TimePoint::max());
}

TEST(ConvertTime, NanosOutOfRangeAreNoTime) {
  EXPECT_EQ(from_proto(timestamp(0, -1)), TimePoint::min());
  EXPECT_EQ(from_proto(timestamp(0, 1'000'000'000)), TimePoint::min());
  EXPECT_EQ(from_proto(timestamp(0, 999'999'999)), TimePoint{Duration{999'999'999}});
}

TEST(ConvertTime, ADurationComesBackToTheNanosecondWithItsSign) {
  for (const std::int64_t ns : {std::int64_t{0}, std::int64_t{1}, std::int64_t{-1},
                                std::int64_t{1'500'000'000}, std::int64_t{-1'500'000'000}}) {
    EXPECT_EQ(from_proto(to_proto(Duration{ns})), Duration{ns});
  }
}

TEST(ConvertTime, ADurationThatOursCannotHoldIsOneOfTheTwoEnds) {
  EXPECT_EQ(from_proto(duration(315'576'000'000, 0)), Duration::max());
  EXPECT_EQ(from_proto(duration(-315'576'000'000, 0)), Duration::min());
  EXPECT_EQ(from_proto(duration(std::numeric_limits<std::int64_t>::min(), 0)), Duration::min());
  EXPECT_EQ(from_proto(duration(1, -1)), Duration::max()) << "signs disagree";
  EXPECT_EQ(from_proto(duration(-1, 1)), Duration::min()) << "signs disagree";
  EXPECT_EQ(from_proto(duration(0, 1'000'000'000)), Duration::max());
  EXPECT_EQ(from_proto(duration(0, std::numeric_limits<std::int32_t>::min())), Duration::min());
}

}  // namespace
}  // namespace fixwright::rpc
