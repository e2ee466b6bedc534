#pragma once
/// The normal equations of the joint calibration, places eliminated. Inside this folder only.

#include <Eigen/Dense>
#include <map>
#include <span>
#include <vector>

#include "server/calibrate/joint_bias.hpp"

namespace fixwright::calibrate {

/// Where the iteration stands.
struct JointState {
  Eigen::VectorXd bias_deg;         // by station index
  std::vector<GeoPoint> positions;  // by emitter
};

struct JointStep {
  Eigen::VectorXd bias_deg;
  std::vector<Eigen::Vector2d> moves_m;  // east, north
};

class JointProblem {
 public:
  JointProblem(std::span<const JointObservation> observations,
               std::span<const JointEmitter> emitters, const JointRules& rules);

  [[nodiscard]] const std::vector<StationId>& stations() const { return stations_; }
  [[nodiscard]] std::size_t station_index(StationId id) const { return index_.at(id); }
  /// An emitter takes part if its place can be solved for: known, or heard by two stations.
  [[nodiscard]] bool takes_part(std::size_t emitter) const;
  /// Observations of the emitters that take part.
  [[nodiscard]] int observations() const;
  /// Coordinates of places to be found.
  [[nodiscard]] int place_unknowns() const;

  [[nodiscard]] JointState start() const;
  /// Observed minus computed, degrees, by observation.
  [[nodiscard]] std::vector<double> residuals(const JointState& state) const;
  /// Weighted squares of the residuals of those that take part.
  [[nodiscard]] double chi_square(const JointState& state) const;
  /// What is minimised: chi-square and the priors.
  [[nodiscard]] double cost(const JointState& state) const;
  [[nodiscard]] JointStep step(const JointState& state) const;
  [[nodiscard]] JointState moved(const JointState& state, const JointStep& step,
                                 double share) const;
  /// What the observations alone say of the biases, 1/deg^2.
  [[nodiscard]] Eigen::MatrixXd information(const JointState& state) const;
  /// And with the prior.
  [[nodiscard]] Eigen::MatrixXd information_with_prior(const JointState& state) const;

 private:
  /// One emitter's part of the normal equations.
  struct Block {
    Eigen::Matrix2d places = Eigen::Matrix2d::Zero();
    Eigen::Vector2d places_right = Eigen::Vector2d::Zero();
    Eigen::MatrixX2d cross;  // stations x 2
    Eigen::VectorXd biases;  // diagonal
    Eigen::VectorXd biases_right;
  };
  [[nodiscard]] Block block(std::size_t emitter, const JointState& state) const;
  [[nodiscard]] double place_prior_per_m2(std::size_t emitter) const;

  std::span<const JointObservation> observations_;
  std::span<const JointEmitter> emitters_;
  double prior_information_ = 0.0;  // 1/deg^2
  std::vector<StationId> stations_;
  std::map<StationId, std::size_t> index_;
  std::vector<std::vector<std::size_t>> of_emitter_;  // its observations
};

}  // namespace fixwright::calibrate
