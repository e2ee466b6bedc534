#pragma once
/// Features of one layer as files that maps and receivers read. WGS84 everywhere. Where a format
/// has a place for it, `about` is written too: it says what the features are, and that they are
/// evidence.

#include <span>
#include <string>

#include "server/model/feature.hpp"
#include "server/report/feature.hpp"

namespace fixwright::report {

/// RFC 7946, a FeatureCollection with a feature a line. Longitude first.
std::string features_geojson(std::span<const Feature> features);
/// RFC 8142, GeoJSON text sequences: each feature between a record separator and a line feed.
std::string features_geojson_sequence(std::span<const Feature> features);
/// RFC 4180: id, title, the properties, then latitude and longitude of a point, else `wkt` (OGC
/// 06-103r4), longitude first.
std::string features_csv(std::span<const Feature> features);
/// GPX 1.1: points are waypoints; lines are tracks, with the times of their points where none was
/// cut; outlines are tracks too, for want of anything better in GPX.
std::string features_gpx(const Layer& layer, std::span<const Feature> features);
/// KML 2.2 (OGC 07-147r2): a Placemark each, longitude first; outlines are not filled.
std::string features_kml(const Layer& layer, std::span<const Feature> features);

}  // namespace fixwright::report
