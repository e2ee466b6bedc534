#include "server/model/feature.hpp"

#include <charconv>
#include <cmath>

namespace fixwright {

namespace {

std::vector<double> numbers_in(std::string_view text) {
  std::vector<double> numbers;
  while (!text.empty()) {
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || !std::isfinite(value)) return {};
    numbers.push_back(value);
    text.remove_prefix(static_cast<std::size_t>(end - text.data()));
    if (text.empty()) break;
    if (text.front() != ',' || text.size() == 1) return {};
    text.remove_prefix(1);
  }
  return numbers;
}

}  // namespace

Result<GeoBox> parse_box(std::string_view text) {
  const auto n = numbers_in(text);
  if (n.size() != 4) return Error{"must be WEST,SOUTH,EAST,NORTH: four numbers of degrees"};
  const auto longitude = [](double deg) { return deg >= -180.0 && deg <= 180.0; };
  if (!longitude(n[0]) || !longitude(n[2])) return Error{"longitudes must be -180 to 180 degrees"};
  if (n[1] < -90.0 || n[3] > 90.0 || n[1] > n[3]) {
    return Error{"latitudes must be -90 to 90 degrees, south before north"};
  }
  return GeoBox{n[0], n[1], n[2], n[3]};
}

}  // namespace fixwright
