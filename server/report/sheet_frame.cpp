#include "server/report/sheet_frame.hpp"

#include <algorithm>

namespace fixwright::report {

SheetFrame frame_round(std::span<const geodesy::EnOffset> points, SheetFrame frame,
                       double least_m) {
  geodesy::EnOffset least{1e9, 1e9};
  geodesy::EnOffset most{-1e9, -1e9};
  for (const geodesy::EnOffset& p : points) {
    least = {std::min(least.east_m, p.east_m), std::min(least.north_m, p.north_m)};
    most = {std::max(most.east_m, p.east_m), std::max(most.north_m, p.north_m)};
  }
  frame.middle = {0.5 * (least.east_m + most.east_m), 0.5 * (least.north_m + most.north_m)};
  frame.half_m =
      0.5 * std::max({most.east_m - least.east_m, most.north_m - least.north_m, least_m});
  return frame;
}

}  // namespace fixwright::report
