#include "server/report/station_summary.hpp"

#include <cmath>
#include <map>

#include "server/base/angle.hpp"

namespace fixwright::report {

namespace {

struct Sums {
  StationSummary summary;
  double east = 0.0, north = 0.0;  // of unit vectors
  double residual = 0.0, squares = 0.0;
};

void add(Sums& sums, const EvidenceBearing& b) {
  if (!b.used) {
    sums.summary.set_aside += 1;
    return;
  }
  sums.summary.used += 1;
  sums.east += std::sin(b.azimuth_deg * kDegToRad);
  sums.north += std::cos(b.azimuth_deg * kDegToRad);
  sums.residual += b.residual_deg;
  sums.squares += b.residual_deg * b.residual_deg;
}

}  // namespace

std::vector<StationSummary> summarise(const std::vector<EvidenceBearing>& bearings) {
  std::map<std::string, Sums> by_name;
  for (const EvidenceBearing& b : bearings) add(by_name[b.station], b);
  std::vector<StationSummary> all;
  for (auto& [name, sums] : by_name) {
    StationSummary& s = sums.summary;
    s.name = name;
    if (s.used > 0) {
      const auto n = static_cast<double>(s.used);
      s.mean_azimuth_deg = wrap_360(std::atan2(sums.east, sums.north) * kRadToDeg);
      s.mean_residual_deg = sums.residual / n;
      s.rms_residual_deg = std::sqrt(sums.squares / n);
    }
    all.push_back(s);
  }
  return all;
}

}  // namespace fixwright::report
