#pragma once
/// The start of a motion hypothesis from bearings alone.

#include <optional>
#include <span>

#include "server/track/heard_bearing.hpp"
#include "server/track/motion_filter.hpp"

namespace fixwright::track {

/// The most probable place, velocity and site errors at the last bearing's middle, with their
/// covariance: every bearing at its own time, nothing known of the place before, the velocity
/// round zero with motion.speed_sigma_m_per_s. Damped Gauss-Newton (D. W. Marquardt, J. SIAM 11
/// (1963) 431) on the exact measurement.
/// \param guess  a place to begin from; none: where the lines of position cross in the mean.
/// \return nothing where the bearings don't say a place: too few, of one station, or one sigma
///         longer than a quarter of the way to the nearest station, where no covariance holds.
///         Ask again with more bearings.
std::optional<MotionFilter> start_motion(std::span<const HeardBearing> heard,
                                         const SiteErrors& sites, MotionFilter::Motion motion,
                                         std::optional<GeoPoint> guess = {});

}  // namespace fixwright::track
