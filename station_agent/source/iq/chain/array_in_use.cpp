#include "station_agent/source/iq/chain/array_in_use.hpp"

#include <fmt/core.h>

namespace fixwright::agent::iq {

namespace {

Result<array::ArrayGeometry> geometry_for(const IqSourceConfig& config,
                                          const StreamFormat& format) {
  if (!config.geometry && !format.array) {
    return Error{
        "source.iq.array: the samples do not tell where the elements stand: give shape and size"};
  }
  array::ArrayGeometry geometry = config.geometry ? *config.geometry : format.array->geometry;
  if (format.array && format.array->orientation_known) {
    geometry.orientation_deg = format.array->geometry.orientation_deg;
  }
  if (config.orientation_deg) geometry.orientation_deg = *config.orientation_deg;
  if (geometry.elements.size() != format.elements) {
    return Error{fmt::format(
        "source.iq: the samples have {} channels, the array of source.iq.array {} elements: one "
        "channel an element, in the same order",
        format.elements, geometry.elements.size())};
  }
  const std::string problem = array::geometry_problem(geometry);
  if (!problem.empty()) return Error{"source.iq.array: " + problem};
  return geometry;
}

std::string calibration_problem(const IqSourceConfig& config, std::size_t elements) {
  const std::size_t calibrated = config.calibration.elements.size();
  if (calibrated != 0 && calibrated != elements) {
    return fmt::format("source.iq.array: the calibration is of {} elements, the array has {}",
                       calibrated, elements);
  }
  if (!config.table.empty() && config.table.elements() != static_cast<int>(elements)) {
    return fmt::format("source.iq.array: the manifold table is of {} elements, the array has {}",
                       config.table.elements(), elements);
  }
  return {};
}

}  // namespace

Result<array::Manifold> array_in_use(const IqSourceConfig& config, const StreamFormat& format) {
  const auto geometry = geometry_for(config, format);
  if (!geometry) return Error{geometry.error()};
  const std::string problem = calibration_problem(config, format.elements);
  if (!problem.empty()) return Error{problem};
  return array::Manifold(*geometry, config.calibration, config.table);
}

}  // namespace fixwright::agent::iq
