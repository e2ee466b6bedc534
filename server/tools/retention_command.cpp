#include "server/tools/retention_command.hpp"

#include <fmt/core.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <optional>
#include <vector>

#include "server/base/clock.hpp"
#include "server/base/csv.hpp"
#include "server/base/text.hpp"
#include "server/report/table.hpp"
#include "server/store/bearing_store.hpp"
#include "server/store/reader.hpp"
#include "server/store/retention.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

using std::chrono::days;
using std::chrono::sys_days;

constexpr std::chrono::seconds kPatience{10};
constexpr double kMegabyte = 1e6;

std::string day_text(sys_days day) { return format_rfc3339(TimePoint{day}, 0).substr(0, 10); }

struct Sum {
  std::uint64_t bearings = 0;
  std::uint64_t bytes = 0;
};

Sum sum_of(const std::vector<store::StoredDay>& all) {
  Sum sum;
  for (const auto& d : all) {
    sum.bearings += d.bearings;
    sum.bytes += d.bytes;
  }
  return sum;
}

void print(const std::vector<store::StoredDay>& all, bool plan, std::ostream& out) {
  std::vector<std::vector<std::string>> rows{{"DAY", "BEARINGS", "MEGABYTES"}};
  for (const auto& d : all) {
    rows.push_back({day_text(d.day), std::to_string(d.bearings),
                    fmt::format("{:.1f}", static_cast<double>(d.bytes) / kMegabyte)});
  }
  out << report::text_table(rows);
  const Sum sum = sum_of(all);
  out << fmt::format("{} {:.1f} MB: days {}, bearings {}\n", plan ? "would free" : "freed",
                     static_cast<double>(sum.bytes) / kMegabyte, all.size(), sum.bearings);
}

std::string csv_of(const Bearing& b, const Stations& stations) {
  const auto found = stations.find(b.key.station);
  const std::string name =
      found == stations.end() ? fmt::format("station {}", b.key.station) : found->second.name;
  const std::array<std::string, 7> cells{format_rfc3339(b.start, 9),
                                         name,
                                         fmt::format("{}", b.station_position.latitude_deg),
                                         fmt::format("{}", b.station_position.longitude_deg),
                                         fmt::format("{}", b.frequency_hz),
                                         fmt::format("{}", b.azimuth_deg),
                                         fmt::format("{}", b.sigma_deg)};
  return csv_row(cells);
}

/// Under another name until it is whole. \return false, with a line on `err`, when it can't be.
bool archive(store::Database& database, const Stations& stations, sys_days day,
             const std::filesystem::path& folder, std::ostream& err) {
  const auto path = folder / ("bearings_" + day_text(day) + ".csv");
  if (std::filesystem::exists(path)) {
    err << fmt::format("retention: {}: is there already; its day is kept: move it away\n",
                       path.string());
    return false;
  }
  const auto part = path.string() + ".part";
  std::ofstream file(part, std::ios::binary);
  file << "time,station,latitude,longitude,frequency_hz,azimuth_deg,sigma_deg\n";
  store::BearingStore(database).read(TimePoint{day}, TimePoint{day + days{1}},
                                     [&](const Bearing& b) { file << csv_of(b, stations); });
  file.close();
  if (file && std::rename(part.c_str(), path.c_str()) == 0) return true;
  err << fmt::format("retention: {}: can't be written; its day is kept\n", path.string());
  return false;
}

int drop(store::Database& database, const RetentionOptions& options,
         const std::vector<store::StoredDay>& old, std::ostream& out, std::ostream& err) {
  const Stations stations = store::Reader(database).stations();
  std::vector<store::StoredDay> dropped;
  int code = 0;
  for (const auto& d : old) {
    const bool safe = options.archive.empty() || d.bearings == 0 ||
                      archive(database, stations, d.day, options.archive, err);
    if (!safe) {
      code = 1;
      continue;
    }
    try {
      store::drop_day(database, d.day, kPatience);
      dropped.push_back(d);
    } catch (const std::exception& problem) {
      err << fmt::format("retention: {}: is kept: {}\n", day_text(d.day), one_line(problem.what()));
      code = 1;
    }
  }
  print(dropped, false, out);
  return code;
}

}  // namespace

int run_retention(const RetentionOptions& options, std::ostream& out, std::ostream& err) {
  const auto today = std::chrono::floor<days>(SystemClock{}.now());
  return with_database("retention", options.database, err, [&](store::Database& database) {
    const auto old = store::stored_days(database, sys_days{today} - days{options.days});
    if (options.plan) {
      print(old, true, out);
      return 0;
    }
    return drop(database, options, old, out, err);
  });
}

}  // namespace fixwright::tools
