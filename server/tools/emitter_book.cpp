#include "server/tools/emitter_book.hpp"

#include <cmath>

#include "server/geodesy/local_frame.hpp"

namespace fixwright::tools {

namespace {

constexpr double kSamePlace = 13.816;  // chi-square, 2 degrees of freedom, 99.9 %

double apart(const CrossFix& a, const CrossFix& b) {
  const EnCovariance sum{a.covariance.ee_m2 + b.covariance.ee_m2,
                         a.covariance.en_m2 + b.covariance.en_m2,
                         a.covariance.nn_m2 + b.covariance.nn_m2};
  return geodesy::mahalanobis_squared(sum, geodesy::offset(a.position, b.position));
}

}  // namespace

EmitterKey EmitterBook::enter(const Fix& fix) {
  Entry* nearest = nullptr;
  double least = kSamePlace;
  for (Entry& entry : entries_) {
    if (std::abs(entry.frequency_hz - fix.frequency_hz) <= frequency_tolerance_hz_) {
      const double d = apart(entry.best, fix.solution);
      if (d < least) {
        least = d;
        nearest = &entry;
      }
    }
  }
  if (nearest == nullptr) {
    const auto id = static_cast<std::int64_t>(entries_.size()) + 1;
    entries_.push_back({{fix.key.transmission.channel, id}, fix.solution, fix.frequency_hz});
    return entries_.back().key;
  }
  if (fix.solution.ellipse.semi_major_m < nearest->best.ellipse.semi_major_m) {
    nearest->best = fix.solution;
  }
  return nearest->key;
}

}  // namespace fixwright::tools
