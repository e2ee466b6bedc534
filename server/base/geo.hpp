#pragma once
/// Places and their uncertainty, as plain values. WGS84 throughout.

namespace fixwright {

struct GeoPoint {
  double latitude_deg = 0.0;   // geodetic, [-90, 90]
  double longitude_deg = 0.0;  // [-180, 180)
  friend bool operator==(const GeoPoint&, const GeoPoint&) = default;
};

/// Covariance of a position in the local east-north frame. Symmetric, positive definite.
struct EnCovariance {
  double ee_m2 = 0.0;
  double en_m2 = 0.0;
  double nn_m2 = 0.0;
  friend bool operator==(const EnCovariance&, const EnCovariance&) = default;
};

/// The region that holds the emitter with the stated probability, if the fix is near-linear.
struct ErrorEllipse {
  double semi_major_m = 0.0;
  double semi_minor_m = 0.0;
  double orientation_deg = 0.0;  // azimuth of the semi-major axis, [0, 180)
  double probability = 0.0;      // (0, 1); an ellipse without it means nothing
  friend bool operator==(const ErrorEllipse&, const ErrorEllipse&) = default;
};

}  // namespace fixwright
