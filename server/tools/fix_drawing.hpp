#pragma once
/// A fix as a drawing: stations, lines of bearing, region.

#include <string>

#include "server/locate/locate_transmission.hpp"
#include "server/tools/station_names.hpp"

namespace fixwright::tools {

/// An SVG document, north up, metres along geodesics from the fix (or the first station of a
/// refused one). Shape doubles colour: a bearing that was set aside is dashed.
std::string fix_svg(const locate::GroupFix& group, const StationNames& names);

}  // namespace fixwright::tools
