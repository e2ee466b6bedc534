#pragma once
/// Error ellipses and the few facts of statistics they rest on.

#include <vector>

#include "server/base/geo.hpp"

namespace fixwright::geodesy {

/// Finite, symmetric by construction, and positive definite beyond rounding.
bool is_positive_definite(const EnCovariance& c);

/// How many sigmas an ellipse of probability p reaches: k = sqrt(-2 ln(1 - p)), chi-square with
/// 2 degrees of freedom. 1.177 at 50 %, 2.448 at 95 %; k = 1 holds only 39.3 %. \pre 0 < p < 1.
double ellipse_factor(double p);

/// Region that holds the emitter with probability p, if the fix is near-linear.
/// \param p  0 < p < 1; there is no default: callers say which.
/// \return semi-axes in metres, azimuth of the semi-major axis in [0, 180); 0 for a circle.
/// \pre is_positive_definite(c); otherwise the program stops (our bug).
ErrorEllipse error_ellipse(const EnCovariance& c, double p);

/// The covariance whose error_ellipse(…, e.probability) is e. \pre axes > 0.
EnCovariance covariance_of(const ErrorEllipse& e);

/// The ellipse as a closed ring, counter-clockwise, first point repeated last: points + 1 vertices.
/// Drawn along geodesics from the centre. \pre points >= 8.
std::vector<GeoPoint> ellipse_ring(GeoPoint centre, const ErrorEllipse& e, int points = 72);

/// Is a point inside or on the ellipse round `centre`?
bool ellipse_holds(GeoPoint centre, const ErrorEllipse& e, GeoPoint point);

/// Probability that chi-square with `degrees_of_freedom` exceeds x: regularised upper incomplete
/// gamma Q(k/2, x/2). 1 for 0 degrees of freedom. \pre x >= 0, degrees_of_freedom >= 0.
/// Source of the expansions: Abramowitz and Stegun 6.5.29 and 6.5.31. Accuracy 1e-12.
double chi_square_survival(double x, int degrees_of_freedom);

/// Angle between two lines of the given azimuths, folded to [0, 90] degrees.
double crossing_angle_deg(double azimuth_a_deg, double azimuth_b_deg);

}  // namespace fixwright::geodesy
