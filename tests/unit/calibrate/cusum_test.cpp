#include "server/calibrate/cusum.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <random>

namespace fixwright::calibrate {
namespace {

/// D. C. Montgomery, G. C. Runger, Applied Statistics and Probability for Engineers, 3rd ed.,
/// example 16-6, table 16-8: concentration of a chemical process, target 99, K = 1 (seen).
TEST(Cusum, AgreesWithATextbooksTable) {
  struct Row {
    double x, high, low;
  };
  constexpr std::array<Row, 20> kTable{{
      {102.0, 2.0, 0.0}, {94.8, 0.0, 3.2},  {98.3, 0.0, 2.9},  {98.4, 0.0, 2.5},  {102.0, 2.0, 0.0},
      {98.5, 0.5, 0.0},  {99.0, 0.0, 0.0},  {97.7, 0.0, 0.3},  {100.0, 0.0, 0.0}, {98.1, 0.0, 0.0},
      {101.3, 1.3, 0.0}, {98.7, 0.0, 0.0},  {101.1, 1.1, 0.0}, {98.4, 0.0, 0.0},  {97.0, 0.0, 1.0},
      {96.7, 0.0, 2.3},  {100.3, 0.3, 0.0}, {101.4, 1.7, 0.0}, {97.2, 0.0, 0.8},  {101.0, 1.0, 0.0},
  }};
  Cusum sums;
  for (const Row& row : kTable) {
    sums.add(row.x - 99.0, 1.0);
    EXPECT_NEAR(sums.high, row.high, 1e-9) << row.x;  // sums of numbers of one decimal
    EXPECT_NEAR(sums.low, row.low, 1e-9) << row.x;
  }
}

/// D. C. Montgomery's example of 30 values, the last ten with their mean one sigma up: the data
/// seen in a documentation of control charts that cites it; that the 29th is the first past
/// h = 5, at 5.28, from memory, and found by adding up.
TEST(Cusum, FindsTheShiftOfATextbooksExample) {
  constexpr std::array<double, 30> kData{9.45,  7.99,  9.29,  11.66, 12.16, 10.18, 8.04,  11.46,
                                         9.20,  10.34, 9.03,  11.47, 10.51, 9.40,  10.08, 9.37,
                                         10.62, 10.31, 8.52,  10.84, 10.90, 9.33,  12.29, 11.50,
                                         10.60, 11.08, 10.38, 11.62, 11.31, 10.52};
  Cusum sums;
  std::size_t first = 0;
  double there = 0.0;
  for (std::size_t i = 0; i < kData.size() && first == 0; ++i) {
    sums.add(kData[i] - 10.0, 0.5);
    if (sums.high <= 5.0) continue;
    first = i + 1;
    there = sums.high;
  }
  EXPECT_EQ(first, 29u);
  EXPECT_NEAR(there, 5.28, 0.005);  // two decimals
}

/// Mean number of values to an alarm by either sum, of a mean that is `shift` sigmas off.
double mean_run(double shift, double h, int runs) {
  std::mt19937_64 random{20310504};
  std::normal_distribution<double> value{shift, 1.0};
  double total = 0.0;
  for (int run = 0; run < runs; ++run) {
    Cusum sums;
    while (std::max(sums.high, sums.low) <= h) {
      sums.add(value(random), 0.5);
      total += 1.0;
    }
  }
  return total / runs;
}

/// One-sided mean run length by D. Siegmund's formula, as D. C. Montgomery gives it.
double siegmund(double shift, double h) {
  const double delta = shift - 0.5;
  const double b = h + 1.166;
  return (std::exp(-2.0 * delta * b) + 2.0 * delta * b - 1.0) / (2.0 * delta * delta);
}

TEST(Cusum, RunsAsLongAsThePublishedTableSays) {
  // D. C. Montgomery, Introduction to Statistical Quality Control, table of run lengths for
  // k = 0.5: h = 5, no shift 465; shift of 1 sigma 10.4, of 2 sigmas 4.01 (from memory).
  // 4000 runs: the mean of an exponential is known to 1.6 %; 5 % is three such.
  EXPECT_NEAR(mean_run(0.0, 5.0, 4000), 465.0, 0.05 * 465.0);
  EXPECT_NEAR(mean_run(1.0, 5.0, 4000), 10.4, 0.3);
  EXPECT_NEAR(mean_run(2.0, 5.0, 4000), 4.01, 0.1);
}

TEST(Cusum, SiegmundsFormulaHoldsAtTheLimitThatDriftUses) {
  EXPECT_GT(siegmund(0.0, 10.0) / 2.0, 70'000.0);  // both sides together
  EXPECT_NEAR(mean_run(2.0, 10.0, 4000), siegmund(2.0, 10.0), 0.2);
  EXPECT_NEAR(mean_run(1.0, 10.0, 4000), siegmund(1.0, 10.0), 0.6);
}

}  // namespace
}  // namespace fixwright::calibrate
