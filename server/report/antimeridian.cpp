#include "server/report/antimeridian.hpp"

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"

namespace fixwright::report {

namespace {

/// Longitudes made continuous: they may leave [-180, 180], but never jump.
LonLatRing unwrapped(std::span<const GeoPoint> ring) {
  LonLatRing out;
  for (const GeoPoint& p : ring) {
    const double longitude_deg =
        out.empty()
            ? p.longitude_deg
            : out.back().longitude_deg + wrap_180(p.longitude_deg - out.back().longitude_deg);
    out.push_back({longitude_deg, p.latitude_deg});
  }
  return out;
}

/// A ring that went once round the earth ends 360 degrees from where it began.
bool goes_round_a_pole(const LonLatRing& ring) {
  return std::abs(ring.back().longitude_deg - ring.front().longitude_deg) > 180.0;
}

void close_along_the_pole(LonLatRing& ring) {
  double sum = 0.0;
  for (const LonLat& p : ring) sum += p.latitude_deg;
  const double pole_deg = sum > 0.0 ? 90.0 : -90.0;
  ring.push_back({ring.back().longitude_deg, pole_deg});
  ring.push_back({ring.front().longitude_deg, pole_deg});
  ring.push_back(ring.front());
}

LonLat crossing(const LonLat& a, const LonLat& b, double longitude_deg) {
  const double t = (longitude_deg - a.longitude_deg) / (b.longitude_deg - a.longitude_deg);
  return {longitude_deg, a.latitude_deg + t * (b.latitude_deg - a.latitude_deg)};
}

/// The part on one side of a meridian, by the polygon clipping of I. E. Sutherland and
/// G. W. Hodgman (Comm. ACM 17 (1974) 32): exact for a single half-plane.
LonLatRing clipped(const LonLatRing& ring, double meridian_deg, bool keep_east) {
  const auto inside = [&](const LonLat& p) {
    return keep_east ? p.longitude_deg >= meridian_deg : p.longitude_deg <= meridian_deg;
  };
  LonLatRing out;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    const LonLat& a = ring[i];
    const LonLat& b = ring[i + 1];
    if (inside(a)) out.push_back(a);
    if (inside(a) != inside(b)) out.push_back(crossing(a, b, meridian_deg));
  }
  out.erase(std::unique(out.begin(), out.end()), out.end());
  if (!out.empty() && out.front() != out.back()) out.push_back(out.front());
  return out;
}

}  // namespace

double doubled_area(const LonLatRing& ring) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    const LonLat a{ring[i].longitude_deg - ring[0].longitude_deg,
                   ring[i].latitude_deg - ring[0].latitude_deg};
    const LonLat b{ring[i + 1].longitude_deg - ring[0].longitude_deg,
                   ring[i + 1].latitude_deg - ring[0].latitude_deg};
    sum += a.longitude_deg * b.latitude_deg - b.longitude_deg * a.latitude_deg;
  }
  return sum;
}

std::vector<LonLatRing> cut_at_antimeridian(std::span<const GeoPoint> ring) {
  if (ring.size() < 4) return {};
  LonLatRing whole = unwrapped(ring);
  if (goes_round_a_pole(whole)) close_along_the_pole(whole);

  std::vector<LonLatRing> parts;
  for (const double turn_deg : {-360.0, 0.0, 360.0}) {
    LonLatRing part = clipped(clipped(whole, turn_deg - 180.0, true), turn_deg + 180.0, false);
    if (part.size() < 4 || doubled_area(part) == 0.0) continue;
    for (LonLat& p : part) p.longitude_deg -= turn_deg;
    if (doubled_area(part) < 0.0) std::ranges::reverse(part);
    parts.push_back(std::move(part));
  }
  return parts;
}

}  // namespace fixwright::report
