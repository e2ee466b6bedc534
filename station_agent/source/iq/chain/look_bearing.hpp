#pragma once
/// From one look at an active channel to a bearing.

#include "station_agent/array/azimuth_estimator.hpp"
#include "station_agent/detect/look.hpp"
#include "station_agent/source/source.hpp"

namespace fixwright::agent::iq {

array::SpatialCovariance covariance_of(const detect::ChannelLook& look);

/// \pre estimate.accepted().
SourceBearing bearing_of(const detect::ChannelLook& look, const array::Estimate& estimate);

}  // namespace fixwright::agent::iq
