#pragma once
/// What one station's bearings say about which emitters it hears. Inside `track` only.

#include <cstdint>
#include <vector>

#include "server/track/association.hpp"

namespace fixwright::track {

/// A set of candidates: bit c is candidate c.
using CandidateSet = std::uint32_t;

/// Density of a bearing that is nobody's, per degree: one in twenty, any direction.
inline constexpr double kNobodysDensity = 0.05 / 360.0;

/// A candidate's option, its density over a nobody's.
struct CandidateOption {
  std::size_t bearing = 0;
  unsigned candidate = 0;
  double azimuth_deg = 0.0;
  double ratio = 0.0;
};

/// Bearings of one station, instant by instant. Of one instant an emitter sends at most one.
class StationView {
 public:
  explicit StationView(StationId station) : station_(station) {}

  [[nodiscard]] StationId station() const { return station_; }
  /// Candidates that may have sent something here.
  [[nodiscard]] CandidateSet able() const { return able_; }

  /// The options of one instant, by bearing. Of each candidate's the three likeliest are kept.
  void add_instant(std::vector<CandidateOption> options);

  /// ln of the likelihood of all the bearings if just `heard` are heard, over that of nobody.
  [[nodiscard]] double log_ratio(CandidateSet heard) const;

  /// Adds to `shares` (one an option, in the order of options()) the probability that the bearing
  /// is the candidate's, if just `heard` are heard; times `weight`.
  void add_shares(CandidateSet heard, double weight, std::vector<double>& shares) const;
  [[nodiscard]] const std::vector<CandidateOption>& options() const { return options_; }

 private:
  struct Instant {
    std::size_t first = 0;
    std::size_t last = 0;
  };
  [[nodiscard]] double seen_at_an_instant() const { return instants_.size() == 1 ? 1.0 : 0.8; }

  StationId station_ = 0;
  CandidateSet able_ = 0;
  std::vector<CandidateOption> options_;
  std::vector<Instant> instants_;
};

}  // namespace fixwright::track
