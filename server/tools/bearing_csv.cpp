#include "server/tools/bearing_csv.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <iostream>
#include <map>
#include <optional>
#include <set>
#include <utility>

#include "server/base/csv.hpp"

namespace fixwright::tools {

namespace {

constexpr std::array<std::string_view, 7> kColumns{
    "time", "station", "latitude", "longitude", "frequency_hz", "azimuth_deg", "sigma_deg"};
constexpr std::size_t kMostComplaints = 100;
constexpr std::size_t kLongestShown = 40;  // of a value that breaks a rule

struct NumberColumn {
  std::string_view name;
  double least;
  double most;
  bool least_allowed;
  bool most_allowed;
  std::string_view rule;
};

constexpr NumberColumn kLatitude{"latitude", -90.0, 90.0, true, true, "must be in [-90, 90]"};
constexpr NumberColumn kLongitude{"longitude", -180.0, 180.0, true, true, "must be in [-180, 180]"};
constexpr NumberColumn kFrequency{"frequency_hz", 0.0, 1e12, false, true, "must be in (0, 1e12]"};
constexpr NumberColumn kAzimuth{"azimuth_deg", 0.0, 360.0, true, false, "must be in [0, 360)"};
constexpr NumberColumn kSigma{"sigma_deg", 0.0, 90.0, false, true, "must be in (0, 90]"};

/// One row, as written.
struct NamedBearing {
  std::string station;
  Bearing bearing;
};

class RowReader {
 public:
  RowReader(const CsvColumns& columns, const std::string& file) : columns_(columns), file_(file) {}

  Result<NamedBearing> read(const CsvRow& row) const {
    NamedBearing out;
    Bearing& b = out.bearing;
    const auto time = parse_rfc3339(columns_.field(row, "time"));
    if (!time) {
      return problem(row, "time", time.error());
    }
    b.start = *time;
    out.station = std::string{columns_.field(row, "station")};
    if (out.station.empty() || out.station.size() > 64) {
      return problem(row, "station", "must have 1 to 64 characters");
    }
    const std::array<std::pair<const NumberColumn*, double*>, 5> numbers{
        {{&kLatitude, &b.station_position.latitude_deg},
         {&kLongitude, &b.station_position.longitude_deg},
         {&kFrequency, &b.frequency_hz},
         {&kAzimuth, &b.azimuth_deg},
         {&kSigma, &b.sigma_deg}}};
    for (const auto& [column, value] : numbers) {
      const auto number = in_range(row, *column);
      if (!number) {
        return problem(row, column->name, column->rule);
      }
      *value = *number;
    }
    if (b.station_position.longitude_deg == 180.0) {
      b.station_position.longitude_deg = -180.0;
    }
    return out;
  }

 private:
  [[nodiscard]] std::optional<double> in_range(const CsvRow& row, const NumberColumn& c) const {
    const auto value = parse_number(columns_.field(row, c.name));
    if (!value || *value < c.least || *value > c.most || (*value == c.least && !c.least_allowed) ||
        (*value == c.most && !c.most_allowed)) {
      return std::nullopt;
    }
    return value;
  }

  [[nodiscard]] Error problem(const CsvRow& row, std::string_view column,
                              std::string_view rule) const {
    const std::string_view value = columns_.field(row, column);
    const bool cut = value.size() > kLongestShown;
    return Error{fmt::format("{}:{}: {} {}{}: {}", file_, row.line, column,
                             value.empty() ? "(empty)" : value.substr(0, kLongestShown),
                             cut ? "..." : "", rule)};
  }

  const CsvColumns& columns_;
  const std::string& file_;
};

/// Says the first hundred complaints and counts them all.
class Complaints {
 public:
  explicit Complaints(std::ostream& out) : out_(out) {}
  void add(const std::string& line) {
    if (++count_ <= kMostComplaints) {
      out_ << line << '\n';
    } else if (count_ == kMostComplaints + 1) {
      out_ << "more rows could not be used; they are only counted from here\n";
    }
  }
  [[nodiscard]] std::size_t count() const { return count_; }

 private:
  std::ostream& out_;
  std::size_t count_ = 0;
};

/// Ids by alphabet, so that they do not depend on the order of the rows.
BearingCsv with_ids(std::vector<NamedBearing> rows) {
  std::map<std::string, std::set<std::pair<double, double>>> places;
  for (const NamedBearing& row : rows) {
    const GeoPoint& p = row.bearing.station_position;
    places[row.station].insert({p.latitude_deg, p.longitude_deg});
  }
  BearingCsv csv;
  std::map<std::string, StationId> ids;
  for (const auto& [name, where] : places) {
    csv.station_names.push_back(name);
    ids[name] = static_cast<StationId>(csv.station_names.size());
  }
  csv.bearings.reserve(rows.size());
  for (NamedBearing& row : rows) {
    row.bearing.key = {ids[row.station], 1, csv.bearings.size() + 1};
    row.bearing.station_moves = places[row.station].size() > 1;
    csv.bearings.push_back(std::move(row.bearing));
  }
  return csv;
}

}  // namespace

Result<BearingCsv> read_bearing_csv(std::istream& in, const std::string& name,
                                    std::ostream& complaints) {
  CsvReader reader{in, name};
  auto header = reader.next();
  if (!header) {
    return Error{fmt::format("{}:1: no header; the first line must name the columns", name)};
  }
  if (!*header) {
    return Error{header->error()};
  }
  const auto columns = CsvColumns::find(**header, kColumns, {}, name);
  if (!columns) {
    return Error{columns.error()};
  }
  const RowReader row_reader{*columns, name};
  Complaints problems{complaints};
  std::vector<NamedBearing> rows;
  while (auto record = reader.next()) {
    auto row = *record ? row_reader.read(**record) : Result<NamedBearing>{Error{record->error()}};
    if (row) {
      rows.push_back(std::move(row).value());
    } else {
      problems.add(row.error());
    }
  }
  BearingCsv csv = with_ids(std::move(rows));
  csv.skipped = problems.count();
  return csv;
}

Result<BearingCsv> read_bearing_file(const std::string& path, std::ostream& complaints) {
  if (path == "-") {
    return read_bearing_csv(std::cin, "stdin", complaints);
  }
  std::ifstream in(path, std::ios::binary);
  if (!in) {
    return Error{fmt::format("{}: cannot be read; give a CSV file, or - for standard input", path)};
  }
  return read_bearing_csv(in, path, complaints);
}

}  // namespace fixwright::tools
