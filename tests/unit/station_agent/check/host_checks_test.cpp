// Clock, place and disk of the machine beside the receiver.
#include "station_agent/check/host_checks.hpp"

#include <gmock/gmock.h>
#include <sys/stat.h>

#include <filesystem>

#include "station_agent/uplink/encode.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace fixwright::agent::check {
namespace {

using std::chrono::milliseconds;
using testing::HasSubstr;

TEST(ClockCheck, UnsynchronisedIsAWarning) {
  const Finding f = check_clock({ClockState::unsynchronised, kUnknownClockError});
  EXPECT_EQ(f.severity, Severity::warning);
  EXPECT_THAT(f.what, HasSubstr("unsynchronised, good to 16.000 s"));
  EXPECT_THAT(f.to_do, HasSubstr("time service"));
}

TEST(ClockCheck, TheBoundDecidesOfASynchronisedOne) {
  const auto judged = [](ClockState state, Duration error) {
    return check_clock({state, error, ClockReference::chrony}).severity;
  };
  EXPECT_EQ(judged(ClockState::synchronised, milliseconds{2}), Severity::ok);
  EXPECT_EQ(judged(ClockState::synchronised, milliseconds{200}), Severity::advice);
  EXPECT_EQ(judged(ClockState::synchronised, milliseconds{700}), Severity::warning);
  EXPECT_EQ(judged(ClockState::holdover, milliseconds{2}), Severity::advice);
  EXPECT_EQ(judged(ClockState::holdover, milliseconds{700}), Severity::warning);
}

TEST(PositionCheck, AMissingPlaceIsAdviceAndAConfiguredOneIsShown) {
  EXPECT_EQ(check_fixed_position(std::nullopt).severity, Severity::advice);
  const Finding f = check_fixed_position(StationPosition{41.43, -150.45, {}, 2.0});
  EXPECT_EQ(f.severity, Severity::ok);
  EXPECT_THAT(f.what, HasSubstr("41.43000 -150.45000, to 2.0 m"));
}

TEST(PositionCheck, AVehicleWithoutPlaceOrHeadingIsTold) {
  EXPECT_EQ(check_moving_position({}).severity, Severity::warning);
  Whereabouts w;
  w.place = Place{{41.2, -150.3}, {}, 4.0, 0.0};
  EXPECT_EQ(check_moving_position(w).severity, Severity::advice);
  EXPECT_THAT(check_moving_position(w).what, HasSubstr("no heading"));
  w.heading = Heading{37.0, 2.0};
  EXPECT_EQ(check_moving_position(w).severity, Severity::ok);
}

TEST(SpoolCheck, TooLittleDiskIsAWarningAndNearlyNoneAFault) {
  SpoolSpace space{"station.spool", "", 1e9, 0.0, 1'000'000};
  EXPECT_EQ(check_spool(space).severity, Severity::ok);
  space.free_bytes = 100e6;
  const Finding few = check_spool(space);
  EXPECT_EQ(few.severity, Severity::warning);
  EXPECT_THAT(few.to_do, HasSubstr("max_bearings to 250000"));  // 0.8 * 100e6 / 320
  space.file_bytes = 250e6;  // what it has already is not asked for twice
  EXPECT_EQ(check_spool(space).severity, Severity::ok);
  space.file_bytes = 0.0;
  space.free_bytes = 20e6;
  EXPECT_EQ(check_spool(space).severity, Severity::fault);
}

TEST(SpoolCheck, AMissingFolderIsAFaultAndARealOneHasItsFreeSpace) {
  const TempFolder folder;
  const SpoolSpace none = look_at_spool(folder.path() / "no" / "station.spool", {});
  EXPECT_EQ(check_spool(none).severity, Severity::fault);
  EXPECT_THAT(check_spool(none).what, HasSubstr("No such file or directory"));
  const SpoolSpace there = look_at_spool(folder.path() / "station.spool", {.max_bearings = 1});
  EXPECT_EQ(there.problem, "");
  EXPECT_GT(there.free_bytes, 0.0);
  EXPECT_EQ(check_spool(there).severity, Severity::ok);
}

TEST(SpoolCheck, TheFullestBearingsNeedNoMoreDiskThanIsReckoned) {
  const TempFolder folder;
  const auto path = folder.path() / "full.spool";
  constexpr int kCount = 20'000;
  {
    auto spool = Spool::open(path, {});
    ASSERT_TRUE(spool.ok());
    std::vector<SpoolItem> items;
    for (int i = 0; i < kCount; ++i) {
      SourceBearing b{.start = TimePoint{std::chrono::seconds{1'900'000'000 + i}},
                      .integration = milliseconds{200},
                      .frequency_hz = 156.8e6 + i,
                      .azimuth_deg = 0.017 * i,
                      .sigma_deg = 1.234567};
      b.field_strength_dbuv_per_m = 31.4159;
      b.level_dbfs = -31.4159;
      b.snr_db = 23.456;
      b.bandwidth_hz = 12'345.678;
      b.label = "OSM-12";
      b.alternatives.assign(8, {123.456 + i * 1e-3, 0.123456});  // as many as the wire takes
      items.push_back(encode(b, {ClockState::synchronised, milliseconds{5}}));
    }
    ASSERT_TRUE((*spool)->append(items, TimePoint{std::chrono::seconds{1'900'100'000}}).ok());
  }  // closing it moves all from the write-ahead log into the file
  const double each = static_cast<double>(std::filesystem::file_size(path)) / kCount;
  RecordProperty("bytes_per_bearing", std::to_string(each));
  EXPECT_LE(each, kSpoolBytesPerBearing);
  EXPECT_GE(each, 0.5 * kSpoolBytesPerBearing);  // and not so much less that it frightens
}

}  // namespace
}  // namespace fixwright::agent::check
