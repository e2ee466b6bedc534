#pragma once

#include <span>

#include "server/base/geo.hpp"

namespace fixwright::track {

/// A bearing as the cross-fix of a supposed new emitter sees it.
struct NewcomersBearing {
  double residual_deg = 0.0;   // observed less computed
  double variance_deg2 = 0.0;  // of one bearing, noise and site
};

/// ln of the likelihood of bearings if an emitter unknown so far sent them, over that of their
/// being nobody's: what they say at the best place, and Occam's factor for having chosen it out
/// of the area it might be in (Laplace's approximation: D. J. C. MacKay, Neural Computation 4
/// (1992) 415), less what it costs that few transmissions bring somebody new.
/// \param covariance  of the place.
double newcomers_log_likelihood(std::span<const NewcomersBearing> bearings,
                                const EnCovariance& covariance);

}  // namespace fixwright::track
