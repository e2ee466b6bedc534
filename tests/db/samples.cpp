#include "tests/db/samples.hpp"

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace fixwright::test {

TimePoint at(std::string_view rfc3339) {
  const auto time = parse_rfc3339(rfc3339);
  if (!time.ok()) throw std::invalid_argument(time.error());
  return *time;
}

std::vector<Station> osmere_stations() {
  return {{0, "LANTERN-HEAD", {41.430, -150.450}, 20.0, 1.0, 0.0},
          {0, "MOSS-RIDGE", {41.330, -150.020}, 15.0, 1.2, 0.5},
          {0, "QUILL-POINT", {41.020, -150.120}, 12.0, 1.0, -0.25},
          {0, "HARROW-HILL", {41.080, -150.560}, 30.0, 0.8, 0.0}};
}

Bearing plain_bearing(StationId station, StreamId stream, std::uint64_t sequence, TimePoint start) {
  Bearing b;
  b.key = {station, stream, sequence};
  b.channel = 12;
  b.start = start;
  b.integration = std::chrono::milliseconds(250);
  b.clock_error = std::chrono::microseconds(50);
  b.frequency_hz = 433'920'000.0;
  b.azimuth_deg = 123.456789012345678;
  b.sigma_deg = 1.5;
  // A fixed station's bearing comes back with the registered place.
  const auto stations = osmere_stations();
  const auto place = static_cast<std::size_t>(station - 1);
  if (place < stations.size()) b.station_position = stations[place].position;
  return b;
}

Bearing full_bearing(StationId station, StreamId stream, std::uint64_t sequence, TimePoint start) {
  Bearing b = plain_bearing(station, stream, sequence, start);
  b.station_moves = true;
  b.station_position = {41.1234567890123, -150.98765432109876};
  b.station_sigma_m = 4.375;
  b.alternatives = {{211.1, 0.4}, {0.0, 1.0}};
  b.field_strength_dbuv_per_m = 41.25;
  b.level_dbfs = -63.0;
  b.snr_db = 1.0 / 3.0;
  b.bandwidth_hz = 12'500.0;
  b.label = "OSM-12 \"quoted\", {braces}, \\, tab\t, accent é";
  b.flags = kFlagOverload | kFlagSimulated | 0x80000000U;
  return b;
}

CrossFix good_solution(double semi_major_m, double semi_minor_m, double orientation_deg) {
  // k at 95 %, two degrees of freedom: sqrt(-2 ln 0.05).
  const double k = std::sqrt(-2.0 * std::log(0.05));
  const double major_m2 = std::pow(semi_major_m / k, 2);
  const double minor_m2 = std::pow(semi_minor_m / k, 2);
  const double a = orientation_deg * std::numbers::pi / 180.0;
  CrossFix s;
  s.grade = FixGrade::checked;
  s.position = {41.2, -150.3};
  s.covariance = {major_m2 * std::pow(std::sin(a), 2) + minor_m2 * std::pow(std::cos(a), 2),
                  (major_m2 - minor_m2) * std::sin(a) * std::cos(a),
                  major_m2 * std::pow(std::cos(a), 2) + minor_m2 * std::pow(std::sin(a), 2)};
  s.ellipse = {semi_major_m, semi_minor_m, orientation_deg, 0.95};
  s.chi_square = 0.7;
  s.degrees_of_freedom = 1;
  s.p_value = 0.4;
  s.crossing_deg = 72.5;
  return s;
}

CrossFix refused_solution(Refusal reason) {
  CrossFix s;
  s.refusal = reason;
  s.crossing_deg = 1.8;
  return s;
}

Emitter sample_emitter(ChannelId channel, std::int64_t id) {
  Emitter e;
  e.key = {channel, id};
  e.state = EmitterState::confirmed;
  e.fix = good_solution();
  e.valid_at = at("2031-05-04T10:15:00.000250Z");
  e.frequency_hz = 433'920'010.5;
  e.first_heard = at("2031-05-04T09:00:00Z");
  e.last_heard = at("2031-05-04T10:15:00.5Z");
  e.bearings = 240;
  e.looks = 12;
  e.stations = {1, 2, 4};
  return e;
}

Fix sample_fix(ChannelId channel, TimePoint start, std::int32_t ordinal) {
  Fix f;
  f.key = {{channel, start}, ordinal};
  f.valid_at = start + std::chrono::milliseconds(500);
  f.frequency_hz = 433'920'000.0;
  f.stations = 3;
  f.solution = good_solution();
  return f;
}

namespace {

std::vector<std::string> lines_of(const pqxx::result& result) {
  std::vector<std::string> lines;
  for (const pqxx::row& row : result) {
    std::string line;
    for (const pqxx::field& field : row) {
      line += (field.num() == 0 ? "" : "|") + std::string(field.is_null() ? "" : field.c_str());
    }
    lines.push_back(line);
  }
  return lines;
}

}  // namespace

std::vector<std::string> rows(const std::string& connection, const std::string& query) {
  pqxx::connection opened(connection);
  return rows(opened, query);
}

std::vector<std::string> rows(pqxx::connection& connection, const std::string& query) {
  pqxx::nontransaction tx(connection);
  return lines_of(tx.exec(query));
}

std::vector<std::string> rows_then_undo(pqxx::connection& connection, const std::string& change,
                                        const std::string& query) {
  pqxx::work tx(connection);
  tx.exec(change);
  return lines_of(tx.exec(query));  // the transaction is never committed
}

std::string value(const std::string& connection, const std::string& query) {
  const auto lines = rows(connection, query);
  return lines.empty() ? "" : lines.front().substr(0, lines.front().find('|'));
}

namespace {

std::string first_line(const std::string& text) { return text.substr(0, text.find('\n')); }

}  // namespace

std::string complaint(const std::string& connection, const std::string& statement) {
  try {
    pqxx::connection opened(connection);
    return complaint(opened, statement);
  } catch (const pqxx::failure& e) {  // of the connection itself
    return first_line(e.what());
  }
}

std::string complaint(pqxx::connection& connection, const std::string& statement) {
  try {
    rows(connection, statement);
    return "";
  } catch (const pqxx::failure& e) {
    return first_line(e.what());
  }
}

}  // namespace fixwright::test
