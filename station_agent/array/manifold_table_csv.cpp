/// The table as CSV.

#include <fmt/core.h>

#include <cmath>
#include <map>
#include <optional>

#include "server/base/angle.hpp"
#include "server/base/csv.hpp"
#include "station_agent/array/manifold_table.hpp"

namespace fixwright::agent::array {

namespace {

constexpr std::string_view kColumns[] = {"frequency_hz", "azimuth_deg", "element", "gain_db",
                                         "phase_deg"};
struct Cell {
  double frequency_hz = 0.0;
  double azimuth_deg = 0.0;
  int element = 0;  // from 0
  Complex factor;
};

/// Cells by frequency, azimuth, element.
using Cells = std::map<double, std::map<double, std::map<int, Complex>>>;

Error at(const std::string& name, std::size_t line, std::string_view what) {
  return {fmt::format("{}:{}: {}", name, line, what)};
}

Result<Cell> read_cell(const CsvColumns& columns, const CsvRow& row, const std::string& name,
                       int elements) {
  double values[5] = {};
  for (int i = 0; i < 5; ++i) {
    const auto number = parse_number(columns.field(row, kColumns[i]));
    if (!number) return at(name, row.line, fmt::format("{}: must be a number", kColumns[i]));
    values[i] = *number;
  }
  if (!(values[0] > 0.0)) return at(name, row.line, "frequency_hz: must be over 0");
  if (values[1] < 0.0 || values[1] >= 360.0) {
    return at(name, row.line, fmt::format("azimuth_deg = {}: must be 0 to under 360", values[1]));
  }
  if (values[2] < 1.0 || values[2] > elements || values[2] != std::floor(values[2])) {
    return at(name, row.line,
              fmt::format("element = {}: must be a whole number, 1 to {}", values[2], elements));
  }
  if (std::abs(values[3]) > 100.0) return at(name, row.line, "gain_db: must be -100 to 100");
  return Cell{values[0], values[1], static_cast<int>(values[2]) - 1,
              std::polar(std::pow(10.0, values[3] / 20.0), values[4] * kDegToRad)};
}

Result<Cells> read_cells(CsvReader& reader, const CsvColumns& columns, int elements) {
  Cells cells;
  while (auto row = reader.next()) {
    if (!*row) return Error{row->error()};
    const auto cell = read_cell(columns, **row, reader.name(), elements);
    if (!cell) return Error{cell.error()};
    auto& place = cells[cell->frequency_hz][cell->azimuth_deg];
    if (!place.emplace(cell->element, cell->factor).second) {
      return at(reader.name(), (*row)->line, "this element was given at this place already");
    }
  }
  return cells;
}

std::string hole(const std::string& name, double frequency_hz, double azimuth_deg) {
  return fmt::format(
      "{}: incomplete at {} Hz, {} deg: every azimuth must be there at every frequency "
      "for every element",
      name, frequency_hz, azimuth_deg);
}

}  // namespace

Result<ManifoldTable> ManifoldTable::read(std::istream& in, const std::string& name, int elements) {
  CsvReader reader{in, name};
  const auto header = reader.next();
  if (!header) return Error{name + ": is empty"};
  if (!*header) return Error{header->error()};
  const auto columns = CsvColumns::find(**header, kColumns, {}, name);
  if (!columns) return Error{columns.error()};
  const auto cells = read_cells(reader, *columns, elements);
  if (!cells) return Error{cells.error()};
  if (cells->empty()) return Error{name + ": has no rows"};
  std::vector<double> azimuths_deg;
  std::vector<double> frequencies_hz;
  for (const auto& [azimuth_deg, row] : cells->begin()->second) azimuths_deg.push_back(azimuth_deg);
  std::vector<ElementVector> factors;
  for (const auto& [frequency_hz, circle] : *cells) {
    frequencies_hz.push_back(frequency_hz);
    for (const double azimuth_deg : azimuths_deg) {
      const auto found = circle.find(azimuth_deg);
      const bool whole = found != circle.end() && circle.size() == azimuths_deg.size() &&
                         static_cast<int>(found->second.size()) == elements;
      if (!whole) return Error{hole(name, frequency_hz, azimuth_deg)};
      ElementVector& factor = factors.emplace_back(elements);
      for (const auto& [element, value] : found->second) factor[element] = value;
    }
  }
  return ManifoldTable{std::move(azimuths_deg), std::move(frequencies_hz), std::move(factors)};
}

std::string ManifoldTable::csv() const {
  std::string text = "frequency_hz,azimuth_deg,element,gain_db,phase_deg\n";
  for (std::size_t i = 0; i < factors_.size(); ++i) {
    const double frequency_hz = frequencies_hz_[i / azimuths_deg_.size()];
    const double azimuth_deg = azimuths_deg_[i % azimuths_deg_.size()];
    for (int e = 0; e < elements(); ++e) {
      const Complex f = factors_[i][e];
      text += fmt::format("{},{},{},{},{}\n", frequency_hz, azimuth_deg, e + 1,
                          20.0 * std::log10(std::abs(f)), std::arg(f) * kRadToDeg);
    }
  }
  return text;
}

}  // namespace fixwright::agent::array
