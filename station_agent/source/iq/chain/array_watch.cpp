#include "station_agent/source/iq/chain/array_watch.hpp"

#include <algorithm>

namespace fixwright::agent::iq {

namespace {

constexpr double kStrong_db = 15.0;  // noise alone leaves a misfit of 10 degrees there, in one look
constexpr std::size_t kRemembered = 16;
constexpr std::size_t kFewest = 8;
constexpr double kOverAgain = 0.8;
constexpr Duration kSearchInterval = std::chrono::milliseconds{250};

}  // namespace

double ArrayWatch::median_misfit_deg() const {
  if (misfits_deg_.empty()) return 0.0;
  std::vector<double> sorted(misfits_deg_.begin(), misfits_deg_.end());
  const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
  std::nth_element(sorted.begin(), middle, sorted.end());
  return *middle;
}

void ArrayWatch::add(const array::Estimate& estimate) {
  // Two sources leave a misfit that is theirs, not the array's.
  if (estimate.snr_db < kStrong_db || estimate.second != array::SecondSource::none) return;
  misfits_deg_.push_back(estimate.misfit_deg);
  if (misfits_deg_.size() > kRemembered) misfits_deg_.pop_front();
  if (misfits_deg_.size() < kFewest) return;
  const double median = median_misfit_deg();
  fits_badly_ = median > (fits_badly_ ? kOverAgain * limit_deg_ : limit_deg_);
}

const std::vector<ElementPair>& ArrayWatch::swaps(array::AzimuthEstimator& estimator,
                                                  const array::SpatialCovariance& covariance,
                                                  const array::Estimate& estimate, TimePoint at) {
  if (estimate.snr_db < kStrong_db || estimate.misfit_deg < limit_deg_) return none_;
  if (at >= searched_ && at - searched_ < kSearchInterval) return swaps_;
  searched_ = at;
  swaps_ = swaps_that_explain(estimator, covariance, estimate.misfit_deg);
  return swaps_;
}

}  // namespace fixwright::agent::iq
