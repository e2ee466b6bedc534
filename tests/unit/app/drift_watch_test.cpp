#include "server/app/drift_watch.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace fixwright::app {
namespace {

using std::chrono::hours;
using ::testing::IsEmpty;
using ::testing::SizeIs;

TimePoint begin() { return *parse_rfc3339("2031-05-04T00:00:00Z"); }

std::vector<AzimuthHour> ten_hours_of(StationId station) {
  std::vector<AzimuthHour> all;
  for (int h = 0; h < 10; ++h) all.push_back({station, {12, 1}, begin() + hours{h}, 90.0});
  return all;
}

Calibration from(TimePoint t) {
  Calibration c;
  c.valid_from = t;
  return c;
}

TEST(HoursByStation, OfAStationWithoutACalibrationAllCount) {
  EXPECT_THAT(hours_by_station(ten_hours_of(1), {{2, {from(begin())}}}).at(1), SizeIs(10));
}

TEST(HoursByStation, TheLastAcceptedCalibrationBeginsAnew) {
  const Calibrations accepted{{1, {from(begin() + hours{3}), from(begin())}}};
  const auto own = hours_by_station(ten_hours_of(1), accepted).at(1);
  ASSERT_THAT(own, SizeIs(7));
  EXPECT_EQ(own.front().hour, begin() + hours{3});
}

TEST(HoursByStation, OneThatIsNewerThanAllLeavesAnEmptyChart) {
  EXPECT_THAT(hours_by_station(ten_hours_of(1), {{1, {from(begin() + hours{99})}}}).at(1),
              IsEmpty());
}

}  // namespace
}  // namespace fixwright::app
