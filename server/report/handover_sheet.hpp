#pragma once
/// A sheet for the person who is sent out to look: one HTML file for a phone or for paper, which
/// needs nothing else, and so no signal once it is there. Cautions come first.

#include <string>
#include <vector>

#include "server/model/evidence.hpp"
#include "server/report/roads.hpp"

namespace fixwright::report {

struct HandoverOrder {
  TimePoint written_at;
  std::string by;           // who sends
  std::string report_to;    // whom to tell; may be empty
  std::vector<Road> roads;  // of the basemap; none: it says that it knows of none
};

/// \pre the emitter has a place: evidence.region is not empty.
std::string handover_sheet(const EmitterEvidence& evidence, const HandoverOrder& order);

/// "geo:41.20000,-150.30000;u=490" (RFC 5870): what opens a phone's own navigation.
std::string geo_uri(GeoPoint position, double uncertainty_m);

}  // namespace fixwright::report
