#pragma once

#include <pugixml.hpp>

#include "server/model/evidence.hpp"

namespace fixwright::report {

enum class MapExtent {
  network,  // all stations
  region,   // the region alone
};

/// A map as an SVG element below `parent`: graticule, stations, the line of each station's mean
/// azimuth, the region, a scale. North up, metres along geodesics from the emitter. Read
/// without colour: stations are squares, the emitter a dot, the region an outline.
void add_map(pugi::xml_node parent, const EmitterEvidence& evidence, MapExtent extent);

}  // namespace fixwright::report
