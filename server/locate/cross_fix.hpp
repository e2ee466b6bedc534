#pragma once
/// The cross-fix of one emitter.

#include <span>

#include "server/locate/rules.hpp"
#include "server/model/fix.hpp"

namespace fixwright::locate {

/// Where bearings cross, or why they don't.
///
/// Maximum likelihood on WGS84: residual = observed azimuth minus the geodesic's, wrapped; errors
/// Gaussian with the stated sigma, or gross (uniform) with rules.gross_error_share. Every pair of
/// bearings gives a start; damped Gauss-Newton steps; the best mode is finished on the exact
/// geodesic. Alternatives of a bearing are hypotheses of the same measurement. The answer is a
/// pure function of the set of bearings: their order plays no part.
///
/// \return accepted, with covariance, 95 % ellipse and, where the fix is not near-linear, the
///         region itself; or refused, with the reason. verdicts has one entry a pooled bearing, in
///         the order given. No field is ever NaN. A refusal keeps position and region where there
///         were any, for people to look at; nothing should compute with them.
/// \pre every number finite; 0 < sigma_deg; at most one pooled bearing a station and place.
CrossFix cross_fix(std::span<const PooledBearing> bearings, const LocateRules& rules = {});

}  // namespace fixwright::locate
