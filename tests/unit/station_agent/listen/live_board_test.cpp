// Which bearings make one line of the table, and what it says of them.
#include "station_agent/listen/live_board.hpp"

#include <gmock/gmock.h>

#include "station_agent/listen/screen.hpp"

namespace fixwright::agent::listen {
namespace {

using std::chrono::seconds;
using testing::HasSubstr;

constexpr TimePoint kNow{seconds{1'900'000'000}};

SourceBearing heard(double frequency_hz, double azimuth_deg) {
  SourceBearing b;
  b.start = kNow;
  b.frequency_hz = frequency_hz;
  b.azimuth_deg = azimuth_deg;
  b.sigma_deg = 1.5;
  b.level_dbfs = -31.2;
  return b;
}

TEST(LiveBoard, NearFrequenciesAreOneChannelAndOthersAreNot) {
  LiveBoard board;
  board.add(heard(156.8e6, 10.0), kNow);
  board.add(heard(156.802e6, 12.0), kNow);
  board.add(heard(156.825e6, 200.0), kNow);
  const auto all = board.channels(kNow);
  ASSERT_EQ(all.size(), 2U);
  EXPECT_EQ(all[0].bearings, 2U);
  EXPECT_EQ(all[0].last.azimuth_deg, 12.0);
  EXPECT_EQ(all[0].letter, '1');
  EXPECT_EQ(all[1].letter, '2');
}

TEST(LiveBoard, AWideSignalGathersWhatLiesWithinIt) {
  LiveBoard board;
  SourceBearing wide = heard(100e6, 10.0);
  wide.bandwidth_hz = 150e3;
  board.add(wide, kNow);
  wide.frequency_hz += 60e3;
  board.add(wide, kNow);
  EXPECT_EQ(board.channels(kNow).size(), 1U);
}

TEST(LiveBoard, SilentChannelsGoAndGiveTheirLetterBack) {
  LiveBoard board(seconds{20});
  board.add(heard(156.8e6, 10.0), kNow);
  board.add(heard(157.8e6, 10.0), kNow + seconds{15});
  EXPECT_EQ(board.channels(kNow + seconds{20}).size(), 2U);
  EXPECT_EQ(board.channels(kNow + seconds{21}).size(), 1U);
  board.add(heard(158.8e6, 10.0), kNow + seconds{22});
  EXPECT_EQ(board.channels(kNow + seconds{22})[1].letter, '1');
}

// For 350, 0 and 10 deg: R = (1 + 2 cos 10 deg) / 3 = 0.98987, sqrt(-2 ln R) = 8.175 deg. The
// arithmetic mean of the three numbers would be 120.
TEST(LiveBoard, SpreadIsCircularAndWaitsForThree) {
  LiveBoard board;
  board.add(heard(156.8e6, 350.0), kNow);
  board.add(heard(156.8e6, 0.0), kNow);
  EXPECT_FALSE(board.channels(kNow)[0].spread_deg);
  board.add(heard(156.8e6, 10.0), kNow);
  ASSERT_TRUE(board.channels(kNow)[0].spread_deg);
  EXPECT_NEAR(*board.channels(kNow)[0].spread_deg, 8.175, 0.001);
}

TEST(LiveBoard, AsManyChannelsAsThereArePlacesAndMore) {
  LiveBoard board;
  for (int i = 0; i < 40; ++i) board.add(heard(150e6 + i * 1e5, i * 9.0), kNow);
  const auto all = board.channels(kNow);
  EXPECT_EQ(all.size(), 40U);
  EXPECT_EQ(all[39].letter, '+');
  const auto lines = screen({.station = "LANTERN-HEAD",
                             .source = "lines",
                             .now = kNow,
                             .bearings = 40,
                             .news = "",
                             .channels = all},
                            24);
  EXPECT_THAT(lines.back().substr(0, 0) + lines[20], HasSubstr("and 23 more"));
}

TEST(Screen, FitsEightyColumnsAndTheRowsThereAre) {
  LiveBoard board;
  board.add(heard(156.8e6, 123.4), kNow);
  ScreenView view{.station = "LANTERN-HEAD",
                  .source = "iq",
                  .now = kNow,
                  .bearings = 1,
                  .news = std::string(200, 'x') + "\x1b[2J",
                  .channels = board.channels(kNow)};
  const auto lines = screen(view, 24);
  EXPECT_EQ(lines.size(), 21U);
  for (const auto& line : lines) {
    EXPECT_LE(line.size(), 80U);
    EXPECT_EQ(line.find('\x1b'), std::string::npos);
  }
  EXPECT_THAT(lines[0], HasSubstr("LANTERN-HEAD, iq"));
  EXPECT_THAT(lines[3], HasSubstr("1    156.8000  -31.2 123.4  1.5     -"));
  EXPECT_EQ(screen(view, 10).size(), 10U);
}

TEST(Line, TellsAllThatTheBearingSays) {
  SourceBearing b = heard(156.8e6, 123.4);
  b.snr_db = 20.0;
  b.overload = true;
  b.label = "OSM-12\x1b";
  b.alternatives = {{303.4, 0.5}};
  EXPECT_EQ(line_of(b),
            "2030-03-17T17:46:40.000Z 156.800000 MHz 123.4 deg +- 1.5, -31.2 dBFS, SNR 20.0 dB, "
            "overload, label OSM-12\\x1B, or 303.4 deg (0.50)");
}

}  // namespace
}  // namespace fixwright::agent::listen
