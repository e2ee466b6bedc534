#pragma once
/// Metres east and north of a place to the units of a square drawing, north up.

#include <span>

#include "server/geodesy/local_frame.hpp"

namespace fixwright::report {

struct SheetFrame {
  double size = 720.0;   // units of the drawing, both ways
  double inside = 0.45;  // of it, from the middle to the farthest point
  geodesy::EnOffset middle;
  double half_m = 1.0;  // from the middle to the farthest point

  [[nodiscard]] double x(geodesy::EnOffset p) const {
    return size * (0.5 + inside * (p.east_m - middle.east_m) / half_m);
  }
  [[nodiscard]] double y(geodesy::EnOffset p) const {
    return size * (0.5 - inside * (p.north_m - middle.north_m) / half_m);
  }
  [[nodiscard]] double length(double metres) const { return size * inside * metres / half_m; }
};

/// Everything inside. \param frame  its size and inside; \param least_m  no smaller ground than
/// this.
SheetFrame frame_round(std::span<const geodesy::EnOffset> points, SheetFrame frame, double least_m);

}  // namespace fixwright::report
