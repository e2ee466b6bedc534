#include "server/track/sight_line.hpp"

#include <cmath>

#include "server/geodesy/local_frame.hpp"

namespace fixwright::track {

namespace {

constexpr double kShortStep_m = 1000.0;

}  // namespace

geodesy::AzimuthView sight_line(GeoPoint station, GeoPoint place) {
  const auto view =
      geodesy::fast_azimuth(geodesy::station_frame(station), geodesy::surface_point(place));
  return view.range_m < geodesy::kFastRange_m ? view : geodesy::exact_azimuth(station, place);
}

GeoPoint step_from(GeoPoint place, double east_m, double north_m) {
  if (std::abs(east_m) + std::abs(north_m) > kShortStep_m) {
    return geodesy::displace(place, {east_m, north_m});
  }
  return geodesy::geo_point(geodesy::moved(geodesy::surface_point(place), east_m, north_m));
}

}  // namespace fixwright::track
