#pragma once
/// Whether the array still is what its configuration and calibration say, judged by how well
/// what it hears fits a plane wave.

#include <deque>
#include <string>
#include <vector>

#include "server/base/time.hpp"
#include "station_agent/array/azimuth_estimator.hpp"
#include "station_agent/source/iq/chain/swap_search.hpp"

namespace fixwright::agent::iq {

class ArrayWatch {
 public:
  /// \param limit_deg  misfit, rms phase error per element, that is no longer taken for a
  ///                   reflection's.
  explicit ArrayWatch(double limit_deg) : limit_deg_(limit_deg) {}

  /// Weighs a look that was accepted or refused as poor_fit. Weak ones tell nothing.
  void add(const array::Estimate& estimate);

  /// The median of the last strong looks' misfits is over the limit: their azimuths may all be
  /// biased. Over again when it falls below four fifths of it.
  [[nodiscard]] bool fits_badly() const { return fits_badly_; }
  [[nodiscard]] double median_misfit_deg() const;

  /// What may be plugged wrongly by this look; empty: nothing that would show. Searches at most
  /// four times a second of the samples' time; in between the last answer holds.
  const std::vector<ElementPair>& swaps(array::AzimuthEstimator& estimator,
                                        const array::SpatialCovariance& covariance,
                                        const array::Estimate& estimate, TimePoint at);

 private:
  double limit_deg_;
  std::deque<double> misfits_deg_;
  bool fits_badly_ = false;
  TimePoint searched_{};
  std::vector<ElementPair> swaps_;
  std::vector<ElementPair> none_;
};

}  // namespace fixwright::agent::iq
