#pragma once
/// The geometry of SigMF's extension `spatial` 1.1.0 and ours.
///
/// There x is the boresight, y to its left, z up (ISO 80000-2), the boresight's azimuth in degrees
/// east of true north. Here x is to the right, y forward, z up (array/geometry.hpp).

#include <nlohmann/json.hpp>
#include <optional>

#include "station_agent/source/iq/json_fields.hpp"
#include "station_agent/source/iq/sample_stream.hpp"

namespace fixwright::agent::iq {

/// The elements that the recording holds, out of the whole array's or its own.
struct SpatialGlobal {
  std::size_t num_elements = 0;   // of the whole array; 0: not told
  std::size_t channel_index = 0;  // of the recording's first element
};

SpatialGlobal read_spatial_global(const JsonFields& global, std::size_t channels);

/// Nothing where the capture tells no geometry or one of the points is unknown.
std::optional<StreamArray> read_spatial_capture(const JsonFields& capture,
                                                const SpatialGlobal& global, std::size_t channels);

/// spatial:element_geometry and, where known, spatial:aperture_azimuth.
void write_spatial_capture(const StreamArray& array, nlohmann::ordered_json& capture);

}  // namespace fixwright::agent::iq
