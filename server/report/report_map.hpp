#pragma once

#include <pugixml.hpp>
#include <span>

#include "server/model/evidence.hpp"
#include "server/report/roads.hpp"

namespace fixwright::report {

/// A map as an SVG element below `parent`: graticule, stations, the line of each station's mean
/// azimuth, the region, a scale. North up, metres along geodesics from the emitter. Read
/// without colour: stations are squares, the emitter a dot, the region an outline.
void add_network_map(pugi::xml_node parent, const EmitterEvidence& evidence);

/// The region alone, with the roads that pass it; the nearest one is on the map if it is not far.
void add_region_map(pugi::xml_node parent, const EmitterEvidence& evidence,
                    std::span<const Road> roads = {});

}  // namespace fixwright::report
