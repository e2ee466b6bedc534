#pragma once
/// A fix as a drawing: stations, lines of bearing, region.

#include <string>
#include <vector>

#include "server/locate/locate_transmission.hpp"

namespace fixwright::tools {

/// An SVG document, north up, metres along geodesics from the fix (or the first station of a
/// refused one). Shape doubles colour: a bearing that was set aside is dashed. \param names  of the
/// stations, by id from 1.
std::string fix_svg(const locate::GroupFix& group, const std::vector<std::string>& names);

}  // namespace fixwright::tools
