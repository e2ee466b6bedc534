#include "station_agent/listen/rose.hpp"

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"

namespace fixwright::agent::listen {

namespace {

constexpr int kMiddleColumn = kRoseColumns / 2;
constexpr int kMiddleRow = kRoseRows / 2;
constexpr double kRadiusRows = 8.0;
constexpr double kRadiusColumns = 2.0 * kRadiusRows;
constexpr double kStep_deg = 2.0;  // on the rim half a cell at most

using Lines = std::vector<std::string>;

void put(Lines& lines, const RoseCell& at, char c) {
  lines[static_cast<std::size_t>(at.row)][static_cast<std::size_t>(at.column)] = c;
}

void draw_rim(Lines& lines) {
  for (int a = 0; a < 360; a += 10) put(lines, rose_cell(a, 1.0), '.');
  put(lines, {kMiddleColumn, 0}, 'N');
  put(lines, {kMiddleColumn, kRoseRows - 1}, 'S');
  put(lines, {kRoseColumns - 1, kMiddleRow}, 'E');
  put(lines, {0, kMiddleRow}, 'W');
  put(lines, {kMiddleColumn, kMiddleRow}, '+');
}

void draw_width(Lines& lines, const RoseMark& mark) {
  const double half = std::clamp(mark.half_width_deg, 0.0, 180.0);
  put(lines, rose_cell(mark.azimuth_deg, 1.0), '=');
  for (double off = kStep_deg; off <= half; off += kStep_deg) {
    put(lines, rose_cell(mark.azimuth_deg - off, 1.0), '=');
    put(lines, rose_cell(mark.azimuth_deg + off, 1.0), '=');
  }
}

void draw_ray(Lines& lines, const RoseMark& mark) {
  for (double share = 0.2; share < 0.8; share += 0.1) {
    put(lines, rose_cell(mark.azimuth_deg, share), ':');
  }
}

}  // namespace

RoseCell rose_cell(double azimuth_deg, double share) {
  const double a = azimuth_deg * kDegToRad;
  return {kMiddleColumn + static_cast<int>(std::lround(kRadiusColumns * share * std::sin(a))),
          kMiddleRow - static_cast<int>(std::lround(kRadiusRows * share * std::cos(a)))};
}

std::vector<std::string> rose(const std::vector<RoseMark>& marks) {
  Lines lines(kRoseRows, std::string(kRoseColumns, ' '));
  draw_rim(lines);
  // Letters last, so that no ray of another hides them; the first mark last of all.
  for (const RoseMark& mark : marks) draw_width(lines, mark);
  for (const RoseMark& mark : marks) draw_ray(lines, mark);
  for (auto mark = marks.rbegin(); mark != marks.rend(); ++mark) {
    put(lines, rose_cell(mark->azimuth_deg, 0.86), mark->letter);
  }
  return lines;
}

}  // namespace fixwright::agent::listen
