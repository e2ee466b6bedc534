#pragma once
/// The map layers to GIS clients that connect by URL: OGC API - Features, part 1 (OGC 17-069r4),
/// conformance classes core and geojson; read only, WGS84 with longitude first.

#include <string_view>

#include "server/web/http/answer.hpp"
#include "server/web/http/page_port.hpp"
#include "server/web/http/target.hpp"

namespace fixwright::web {

inline constexpr std::string_view kOgc = "/ogc";

/// \param host  of the request, for links; what is no host is taken as localhost.
/// \pre target.path is kOgc or below it.
Answer ogc_answer(PagePort& port, const Target& target, std::string_view host);

}  // namespace fixwright::web
