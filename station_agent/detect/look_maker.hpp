#pragma once
/// Makes a look of what was summed up over it.

#include "station_agent/detect/activity.hpp"
#include "station_agent/detect/channel_bank.hpp"
#include "station_agent/detect/look.hpp"
#include "station_agent/detect/noise_floor.hpp"

namespace fixwright::agent::detect {

/// Fills level, SNR, frequency, widths, covariance, snapshots and noise of `look`, which is of
/// channel c. \pre bank.windows(c) > 0, floor.ready().
///
/// Independent snapshots: 0.947 times duration times span. So much of the energy of a signal counts
/// when Hann windows overlap by half: the sum of the squared windows is 3/4 + 1/4 cos, and an
/// average with weights w is worth (mean w)^2 / mean w^2 = (3/4)^2 / ((3/4)^2 + 1/32) of a plain
/// one. For noise alone P. D. Welch, IEEE Trans. AU-15 (1967) 70, gives the same 0.947.
void make_look(const DetectorConfig& config, const BinPlan& plan, const NoiseFloor& floor,
               const LookShape& shape, ChannelBank& bank, ChannelLook& look);

}  // namespace fixwright::agent::detect
