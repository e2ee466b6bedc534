#include "server/tools/given_place.hpp"

#include <fmt/core.h>

#include <cmath>

#include "server/base/csv.hpp"
#include "server/base/text.hpp"

namespace fixwright::tools {

std::optional<GeoPoint> given_place(std::string_view option, const std::string& text,
                                    std::ostream& err) {
  const auto comma = text.find(',');
  const auto latitude = parse_number(text.substr(0, comma));
  const auto longitude =
      comma == std::string::npos ? std::nullopt : parse_number(text.substr(comma + 1));
  if (latitude && longitude && std::abs(*latitude) <= 90.0 && std::abs(*longitude) <= 180.0) {
    return GeoPoint{*latitude, *longitude};
  }
  err << fmt::format("{} = \"{}\": must be LATITUDE,LONGITUDE in degrees\n", option,
                     one_line(text, 100));
  return std::nullopt;
}

}  // namespace fixwright::tools
