#pragma once
/// The array as a source takes it: configured, or as the samples tell.

#include "server/base/result.hpp"
#include "station_agent/array/manifold.hpp"
#include "station_agent/source/iq/chain/iq_source.hpp"

namespace fixwright::agent::iq {

/// Fails with one line where configuration, calibration and samples do not go together.
Result<array::Manifold> array_in_use(const IqSourceConfig& config, const StreamFormat& format);

}  // namespace fixwright::agent::iq
