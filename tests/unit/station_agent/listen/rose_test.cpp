// Geometry of the compass rose: conventions are pinned here.
#include "station_agent/listen/rose.hpp"

#include <gmock/gmock.h>

#include <cmath>
#include <numbers>

namespace fixwright::agent::listen {
namespace {

TEST(Rose, NorthIsUpAndEastIsRight) {
  EXPECT_EQ(rose_cell(0.0, 1.0), (RoseCell{18, 1}));
  EXPECT_EQ(rose_cell(90.0, 1.0), (RoseCell{34, 9}));
  EXPECT_EQ(rose_cell(180.0, 1.0), (RoseCell{18, 17}));
  EXPECT_EQ(rose_cell(270.0, 1.0), (RoseCell{2, 9}));
  EXPECT_EQ(rose_cell(123.0, 0.0), (RoseCell{18, 9}));
}

TEST(Rose, EveryAzimuthComesBackFromItsCell) {
  for (int a = 0; a < 360; ++a) {
    const RoseCell c = rose_cell(a, 1.0);
    const double back = std::atan2((c.column - 18) / 2.0, 9.0 - c.row) * 180.0 / std::numbers::pi;
    const double off = std::remainder(back - a, 360.0);
    // Half a cell, a quarter by a half of 8 rows' radius: atan(hypot(0.25, 0.5) / 8) = 4.0 deg.
    EXPECT_LE(std::abs(off), 4.0) << a;
    EXPECT_GE(c.column, 0);
    EXPECT_LT(c.column, kRoseColumns);
    EXPECT_GE(c.row, 0);
    EXPECT_LT(c.row, kRoseRows);
  }
}

TEST(Rose, EmptyItShowsRimAndCardinalPoints) {
  const auto lines = rose({});
  ASSERT_EQ(lines.size(), 19U);
  for (const auto& line : lines) EXPECT_EQ(line.size(), 37U);
  EXPECT_EQ(lines[0][18], 'N');
  EXPECT_EQ(lines[18][18], 'S');
  EXPECT_EQ(lines[9][36], 'E');
  EXPECT_EQ(lines[9][0], 'W');
  EXPECT_EQ(lines[1][18], '.');
  EXPECT_EQ(lines[9][18], '+');
}

TEST(Rose, AMarkPutsItsLetterItsRayAndItsWidth) {
  const auto lines = rose({{'3', 90.0, 30.0}});
  EXPECT_EQ(lines[9][32], '3');  // 0.86 of 16 columns
  EXPECT_EQ(lines[9][26], ':');
  const auto at = [&](double a) {
    const RoseCell c = rose_cell(a, 1.0);
    return lines[static_cast<std::size_t>(c.row)][static_cast<std::size_t>(c.column)];
  };
  EXPECT_EQ(at(90.0), '=');
  EXPECT_EQ(at(61.0), '=');
  EXPECT_EQ(at(119.0), '=');
  EXPECT_EQ(at(40.0), '.');
  EXPECT_EQ(at(270.0), '.');
}

TEST(Rose, TheFirstOfTwoMarksInOnePlaceShows) {
  EXPECT_EQ(rose({{'1', 90.0, 0.0}, {'2', 90.0, 0.0}})[9][32], '1');
}

}  // namespace
}  // namespace fixwright::agent::listen
