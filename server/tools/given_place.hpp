#pragma once
/// A place that a person gave.

#include <optional>
#include <ostream>
#include <string>
#include <string_view>

#include "server/base/geo.hpp"

namespace fixwright::tools {

/// "LATITUDE,LONGITUDE"; nothing, with a line on `err` that begins with `option`, when it is none.
std::optional<GeoPoint> given_place(std::string_view option, const std::string& text,
                                    std::ostream& err);

}  // namespace fixwright::tools
