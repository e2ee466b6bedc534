/// How long the questions of sql/README.md take over a year of a club of six stations: 400
/// emitters, 30 million bearings. Prints the median of each and leaves its plan in a file.
///
///     history_bench [DAYS [PER_DAY]]     365 days of 8450 transmissions unless given
///     history_bench "CONNECTION"         a database that year.sql filled, as fixwright_reader
///
/// Exit 1 when the median of a documented question is above 200 ms. Needs the tests' cluster and,
/// for the whole year, 15 GB of disk: run it by `ctest -C bench -R history_bench -V`. Plans go
/// to the folder history_plans below the current one.

#include <fmt/core.h>

#include <algorithm>
#include <cctype>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <memory>

#include "tests/bench/history/history_year.hpp"

namespace {

using fixwright::test::Asked;
using fixwright::test::HistoryYear;

constexpr double kLimit_ms = 200.0;
constexpr int kTimes = 7;

std::string file_name(std::string title) {
  std::replace_if(
      title.begin(), title.end(), [](unsigned char c) { return std::isalnum(c) == 0; }, '_');
  return title;
}

/// The slowest of them, ms.
double report(HistoryYear& year, const std::vector<Asked>& questions, const std::string& suffix) {
  double worst_ms = 0.0;
  for (const Asked& question : questions) {
    const double median_ms = year.median_ms(question, kTimes);
    worst_ms = std::max(worst_ms, median_ms);
    fmt::print("{:9.1f} ms  {}{}\n", median_ms, question.name,
               median_ms > kLimit_ms ? "  (slow)" : "");
    std::fflush(stdout);
    std::ofstream("history_plans/" + file_name(question.name) + suffix + ".txt")
        << year.plan(question);
  }
  return worst_ms;
}

std::unique_ptr<HistoryYear> make_year(int argc, char** argv) {
  if (argc == 2 && std::string_view(argv[1]).find('=') != std::string_view::npos) {
    return std::make_unique<HistoryYear>(argv[1]);
  }
  const int days = argc > 1 ? std::atoi(argv[1]) : 365;
  const int per_day = argc > 2 ? std::atoi(argv[2]) : 8450;
  const auto begin = std::chrono::steady_clock::now();
  auto year = std::make_unique<HistoryYear>(days, per_day);
  fmt::print("filled in {:.0f} s\n",
             std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count());
  return year;
}

}  // namespace

int main(int argc, char** argv) {
  const auto made = make_year(argc, argv);
  HistoryYear& year = *made;
  std::filesystem::create_directory("history_plans");
  fmt::print("{} bearings, {} emitters, {} of database\n",
             year.value("SELECT sum(bearings) FROM station_by_hour"),
             year.value("SELECT count(*) FROM emitter_latest"),
             year.value("SELECT pg_size_pretty(pg_database_size(current_database()))"));
  fmt::print("\nDocumented, median of {}:\n", kTimes);
  const double worst_ms = report(year, fixwright::test::documented_questions(), "");
  fmt::print("\nThe same over a year, for comparison:\n");
  report(year, fixwright::test::questions_of_a_year(), "_year");
  fmt::print("\nslowest documented question: {:.1f} ms, limit {:.0f} ms\n", worst_ms, kLimit_ms);
  return worst_ms <= kLimit_ms ? 0 : 1;
}
