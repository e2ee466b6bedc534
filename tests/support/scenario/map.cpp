#include "tests/support/scenario/map.hpp"

#include <cctype>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "server/geodesy/local_frame.hpp"

namespace fixwright::scenario {

namespace {

std::vector<std::string> rows_of(std::string_view ascii) {
  std::vector<std::string> rows;
  std::istringstream lines{std::string(ascii)};
  for (std::string line; std::getline(lines, line);) {
    std::erase(line, ' ');
    if (line.empty()) continue;
    if (!rows.empty() && line.size() != rows.front().size()) {
      throw std::invalid_argument("map: row \"" + line + "\" has another width than the first");
    }
    rows.push_back(line);
  }
  return rows;
}

Station station_at(char letter, GeoPoint place, double site_sigma_deg) {
  Station s;
  s.id = letter - 'A' + 1;
  s.name = std::string("STATION-") + letter;
  s.position = place;
  s.site_sigma_deg = site_sigma_deg;
  return s;
}

}  // namespace

Map draw(std::string_view ascii, double cell_km, double site_sigma_deg) {
  Map map;
  const auto rows = rows_of(ascii);
  const double cell_m = cell_km * 1000.0;
  for (std::size_t r = 0; r < rows.size(); ++r) {
    for (std::size_t c = 0; c < rows[r].size(); ++c) {
      const char cell = rows[r][c];
      const double east =
          (static_cast<double>(c) - 0.5 * (static_cast<double>(rows[r].size()) - 1.0)) * cell_m;
      const double north =
          (0.5 * (static_cast<double>(rows.size()) - 1.0) - static_cast<double>(r)) * cell_m;
      const GeoPoint place = geodesy::displace(kOsmere, {east, north});
      if (std::isdigit(static_cast<unsigned char>(cell)) != 0) map.emitters[cell] = place;
      if (std::isupper(static_cast<unsigned char>(cell)) != 0) {
        const Station s = station_at(cell, place, site_sigma_deg);
        map.stations[s.id] = s;
      }
    }
  }
  return map;
}

}  // namespace fixwright::scenario
