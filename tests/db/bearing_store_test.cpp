#include "server/store/bearing_store.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/store/reader.hpp"
#include "server/store/small_tables.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::ElementsAre;
using testing::ElementsAreArray;
using testing::IsEmpty;

class BearingStoreTest : public testing::Test {
 protected:
  BearingStoreTest() { store::register_stations(pool, osmere_stations()); }

  std::vector<Bearing> read(TimePoint from, TimePoint to) {
    std::vector<Bearing> bearings;
    log.read(from, to, [&](const Bearing& b) { bearings.push_back(b); });
    return bearings;
  }
  std::vector<Bearing> everything() { return read(TimePoint::min(), TimePoint::max()); }

  ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
  store::BearingStore log{pool};
  const TimePoint noon = at("2031-05-04T12:00:00Z");
};

TEST_F(BearingStoreTest, EveryFieldComesBackToTheLastBit) {
  const std::vector<Bearing> sent{
      plain_bearing(1, 7, 1, noon + Duration{123'456'789}),
      full_bearing(2, 0xFFFF'FFFF'FFFF'FFFEU, 1, noon + Duration{123'456'790})};
  EXPECT_EQ(log.append(sent).stored, sent);
  EXPECT_EQ(everything(), sent);
}

TEST_F(BearingStoreTest, TimesBefore1970KeepTheirNanoseconds) {
  const std::vector<Bearing> sent{plain_bearing(1, 7, 1, at("1969-12-31T23:59:59.999999999Z"))};
  log.append(sent);
  EXPECT_EQ(everything(), sent);
}

TEST_F(BearingStoreTest, ZeroByteInALabelBecomesTheReplacementCharacterAndStopsNothing) {
  Bearing b = plain_bearing(1, 7, 1, noon);
  b.label = std::string("A\0B", 3);
  log.append(std::vector{b});
  EXPECT_EQ(everything().at(0).label,
            "A\xEF\xBF\xBD"
            "B");
}

TEST_F(BearingStoreTest, BearingsOfAnUnknownStationComeBackToo) {
  log.append(std::vector{plain_bearing(99, 7, 1, noon)});
  EXPECT_EQ(everything().at(0).station_position, GeoPoint{});
}

TEST_F(BearingStoreTest, ReadHandsOutInEventOrderWhateverTheArrival) {
  // Stream 2^63 is negative in the database, and must still come after stream 3.
  const StreamId high = StreamId{1} << 63U;
  const Bearing a = plain_bearing(1, 3, 1, noon);
  const Bearing b = plain_bearing(1, 3, 2, noon);
  const Bearing c = plain_bearing(1, high, 1, noon);
  const Bearing d = plain_bearing(2, 3, 1, noon);
  const Bearing e = plain_bearing(1, 3, 3, noon + Duration{1});
  log.append(std::vector{d, c, a, b, e});
  std::vector<Bearing> expected{d, c, a, b, e};
  std::sort(expected.begin(), expected.end(), EventOrder{});
  EXPECT_EQ(expected, (std::vector{a, b, c, d, e}));
  EXPECT_EQ(everything(), expected);
}

TEST_F(BearingStoreTest, ReadTakesItsStartAndLeavesItsEndToTheNanosecond) {
  const Bearing before = plain_bearing(1, 7, 1, noon + Duration{999});
  const Bearing first = plain_bearing(1, 7, 2, noon + Duration{1000});
  const Bearing last = plain_bearing(1, 7, 3, noon + Duration{1500});
  const Bearing after = plain_bearing(1, 7, 4, noon + Duration{1501});
  log.append(std::vector{before, first, last, after});
  EXPECT_EQ(read(noon + Duration{1000}, noon + Duration{1501}), (std::vector{first, last}));
}

TEST_F(BearingStoreTest, ReaderFindsTheBearingsOfOneChannelOnly) {
  const Bearing mine = plain_bearing(1, 7, 1, noon);
  Bearing other = plain_bearing(1, 7, 2, noon);
  other.channel = 13;
  log.append(std::vector{mine, other});
  store::Reader reader(pool);
  EXPECT_THAT(reader.bearings(12, noon, noon + Duration{1}), ElementsAre(mine));
  EXPECT_THAT(reader.bearings(12, noon + Duration{1}, TimePoint::max()), IsEmpty());
  EXPECT_THAT(reader.bearings(12, TimePoint::min(), TimePoint::max()), ElementsAre(mine));
}

TEST_F(BearingStoreTest, ResentBatchIsStoredOnceAndAcknowledgedAgain) {
  const std::vector<Bearing> batch{plain_bearing(1, 7, 1, noon), plain_bearing(1, 7, 2, noon)};
  log.append(batch);
  const AppendResult again = log.append(batch);
  EXPECT_THAT(again.stored, IsEmpty());
  EXPECT_THAT(again.marks, ElementsAre(StreamMark{1, 7, 2}));
  EXPECT_EQ(everything(), batch);
}

TEST_F(BearingStoreTest, OverlappingResendStoresOnlyWhatIsNew) {
  const Bearing a = plain_bearing(1, 7, 1, noon);
  const Bearing b = plain_bearing(1, 7, 2, noon + Duration{5});
  const Bearing c = plain_bearing(1, 7, 5, noon + Duration{9});  // 3 and 4 were refused for good
  log.append(std::vector{a, b});
  EXPECT_THAT(log.append(std::vector{b, c, c}).stored, ElementsAre(c));
  EXPECT_EQ(everything(), (std::vector{a, b, c}));
}

TEST_F(BearingStoreTest, MarksAreKeptPerStationAndStream) {
  const AppendResult result = log.append(std::vector{
      plain_bearing(2, 7, 4, noon), plain_bearing(1, 8, 9, noon), plain_bearing(1, 7, 1, noon)});
  EXPECT_THAT(result.marks,
              ElementsAre(StreamMark{1, 7, 1}, StreamMark{1, 8, 9}, StreamMark{2, 7, 4}));
  store::BearingStore restarted(pool);
  EXPECT_EQ(restarted.mark(1, 8), 9U);
  EXPECT_EQ(restarted.mark(3, 7), 0U);
}

TEST_F(BearingStoreTest, MidnightUtcDividesTheDays) {
  const Bearing last = plain_bearing(1, 7, 1, at("2031-05-04T23:59:59.999999999Z"));
  const Bearing first = plain_bearing(1, 7, 2, at("2031-05-05T00:00:00Z"));
  log.append(std::vector{last, first});
  EXPECT_EQ(value(database.owner(), "SELECT count(*) FROM bearing_20310504"), "1");
  EXPECT_EQ(value(database.owner(), "SELECT count(*) FROM bearing_20310505"), "1");
  EXPECT_EQ(everything(), (std::vector{last, first}));
}

TEST_F(BearingStoreTest, NextDayIsReadyBeforeMidnight) {
  log.append(std::vector{plain_bearing(1, 7, 1, noon)});
  EXPECT_THAT(rows(database.owner(), "SELECT bearing_days()"),
              ElementsAre("2031-05-04", "2031-05-05"));
}

TEST_F(BearingStoreTest, YearOldBearingGetsItsDay) {
  const Bearing now = plain_bearing(1, 7, 1, noon);
  const Bearing old = plain_bearing(1, 7, 2, at("2030-05-04T12:00:00Z"));
  log.append(std::vector{now});
  log.append(std::vector{old});
  EXPECT_EQ(value(database.owner(), "SELECT count(*) FROM bearing_20300504"), "1");
  EXPECT_EQ(everything(), (std::vector{old, now}));
}

TEST_F(BearingStoreTest, DaysAreMadeAhead) {
  log.make_days(at("2031-02-27T23:00:00Z"), at("2031-03-01T01:00:00Z"));
  EXPECT_THAT(rows(database.owner(), "SELECT bearing_days()"),
              ElementsAre("2031-02-27", "2031-02-28", "2031-03-01"));
}

TEST_F(BearingStoreTest, DayDroppedUnderARunningServerIsMadeAgain) {
  log.append(std::vector{plain_bearing(1, 7, 1, noon)});
  rows(database.owner(), "DROP TABLE bearing_20310504");
  const Bearing next = plain_bearing(1, 7, 2, noon);
  EXPECT_THAT(log.append(std::vector{next}).stored, ElementsAre(next));
  EXPECT_EQ(everything(), std::vector{next});
}

TEST_F(BearingStoreTest, ExceptionOfTheCallerPassesThroughRead) {
  log.append(std::vector{plain_bearing(1, 7, 1, noon)});
  EXPECT_THROW(log.read(TimePoint::min(), TimePoint::max(),
                        [](const Bearing&) { throw std::out_of_range("enough"); }),
               std::out_of_range);
  EXPECT_EQ(everything().size(), 1U);
}

TEST_F(BearingStoreTest, EmptyBatchDoesNothing) {
  EXPECT_THAT(log.append({}).marks, IsEmpty());
  EXPECT_THAT(everything(), IsEmpty());
}

}  // namespace
}  // namespace fixwright::test
