#pragma once
/// A compass rose of characters: north is up, and a cell is taken to be twice as high as wide.

#include <string>
#include <vector>

namespace fixwright::agent::listen {

inline constexpr int kRoseColumns = 37;
inline constexpr int kRoseRows = 19;

struct RoseCell {
  int column = 0;  // from the left, 0 to kRoseColumns - 1
  int row = 0;     // from the top, 0 to kRoseRows - 1
  friend bool operator==(const RoseCell&, const RoseCell&) = default;
};

/// Where an azimuth lies, at a share of the radius: 0 the middle, 1 the rim.
RoseCell rose_cell(double azimuth_deg, double share);

/// A direction to be shown: a ray with its letter, and on the rim how far it may be off.
struct RoseMark {
  char letter = '1';
  double azimuth_deg = 0.0;
  double half_width_deg = 0.0;  // [0, 180]
};

/// kRoseRows lines of kRoseColumns characters. The rim is dotted, with N, E, S and W outside it;
/// '=' on it covers azimuth +- half width; ':' is a ray. Of marks in one place the first shows.
std::vector<std::string> rose(const std::vector<RoseMark>& marks);

}  // namespace fixwright::agent::listen
