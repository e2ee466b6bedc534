#include "server/calibrate/joint_problem.hpp"

#include "server/base/angle.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"

namespace fixwright::calibrate {

JointProblem::JointProblem(std::span<const JointObservation> observations,
                           std::span<const JointEmitter> emitters, const JointRules& rules)
    : observations_(observations),
      emitters_(emitters),
      prior_information_(1.0 / (rules.prior_sigma_deg * rules.prior_sigma_deg)),
      of_emitter_(emitters.size()) {
  for (std::size_t i = 0; i < observations.size(); ++i) {
    of_emitter_.at(observations[i].emitter).push_back(i);
  }
  for (std::size_t e = 0; e < emitters.size(); ++e) {
    if (!takes_part(e)) continue;
    for (const std::size_t i : of_emitter_[e]) index_.emplace(observations_[i].station, 0);
  }
  for (auto& [id, index] : index_) {
    index = stations_.size();
    stations_.push_back(id);
  }
}

bool JointProblem::takes_part(std::size_t emitter) const {
  const std::size_t heard = of_emitter_[emitter].size();
  return heard >= 2 || (heard == 1 && emitters_[emitter].known_to_m.has_value());
}

int JointProblem::observations() const {
  std::size_t count = 0;
  for (std::size_t e = 0; e < emitters_.size(); ++e) {
    if (takes_part(e)) count += of_emitter_[e].size();
  }
  return static_cast<int>(count);
}

int JointProblem::place_unknowns() const {
  int count = 0;
  for (std::size_t e = 0; e < emitters_.size(); ++e) {
    if (takes_part(e) && !emitters_[e].known_to_m) count += 2;
  }
  return count;
}

JointState JointProblem::start() const {
  JointState state;
  state.bias_deg = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(stations_.size()));
  for (const JointEmitter& e : emitters_) state.positions.push_back(e.position);
  return state;
}

double JointProblem::place_prior_per_m2(std::size_t emitter) const {
  const auto& known = emitters_[emitter].known_to_m;
  return known ? 1.0 / (*known * *known) : 0.0;
}

std::vector<double> JointProblem::residuals(const JointState& state) const {
  std::vector<double> deg(observations_.size(), 0.0);
  for (std::size_t i = 0; i < observations_.size(); ++i) {
    const JointObservation& o = observations_[i];
    if (!takes_part(o.emitter)) continue;
    const auto line = geodesy::inverse(o.station_position, state.positions[o.emitter]);
    const auto s = static_cast<Eigen::Index>(station_index(o.station));
    deg[i] = wrap_180(o.azimuth_deg - line.azimuth1_deg - state.bias_deg[s]);
  }
  return deg;
}

double JointProblem::chi_square(const JointState& state) const {
  const auto deg = residuals(state);
  double sum = 0.0;
  for (std::size_t i = 0; i < deg.size(); ++i) {
    const double sigmas = deg[i] / observations_[i].sigma_deg;
    sum += sigmas * sigmas;
  }
  return sum;
}

double JointProblem::cost(const JointState& state) const {
  double sum = chi_square(state) + prior_information_ * state.bias_deg.squaredNorm();
  for (std::size_t e = 0; e < emitters_.size(); ++e) {
    const double prior = place_prior_per_m2(e);
    if (prior == 0.0) continue;
    const double off_m = geodesy::distance_m(emitters_[e].position, state.positions[e]);
    sum += prior * off_m * off_m;
  }
  return sum;
}

JointProblem::Block JointProblem::block(std::size_t emitter, const JointState& state) const {
  const auto n = static_cast<Eigen::Index>(stations_.size());
  Block b{.cross = Eigen::MatrixX2d::Zero(n, 2),
          .biases = Eigen::VectorXd::Zero(n),
          .biases_right = Eigen::VectorXd::Zero(n)};
  const GeoPoint place = state.positions[emitter];
  for (const std::size_t i : of_emitter_[emitter]) {
    const JointObservation& o = observations_[i];
    const auto line = geodesy::inverse(o.station_position, place);
    const auto slope = geodesy::azimuth_slope(line);
    const auto s = static_cast<Eigen::Index>(station_index(o.station));
    const double weight = 1.0 / (o.sigma_deg * o.sigma_deg);
    const double residual = wrap_180(o.azimuth_deg - line.azimuth1_deg - state.bias_deg[s]);
    const Eigen::Vector2d h{slope.per_east_deg_per_m, slope.per_north_deg_per_m};
    b.places += weight * h * h.transpose();
    b.places_right += weight * residual * h;
    b.cross.row(s) += weight * h.transpose();
    b.biases[s] += weight;
    b.biases_right[s] += weight * residual;
  }
  if (const double prior = place_prior_per_m2(emitter); prior > 0.0) {
    const auto home = geodesy::offset(place, emitters_[emitter].position);
    b.places += prior * Eigen::Matrix2d::Identity();
    b.places_right += prior * Eigen::Vector2d{home.east_m, home.north_m};
  }
  return b;
}

JointStep JointProblem::step(const JointState& state) const {
  const auto n = static_cast<Eigen::Index>(stations_.size());
  Eigen::MatrixXd normal = prior_information_ * Eigen::MatrixXd::Identity(n, n);
  Eigen::VectorXd right = -prior_information_ * state.bias_deg;
  std::vector<Block> blocks(emitters_.size());
  for (std::size_t e = 0; e < emitters_.size(); ++e) {
    if (!takes_part(e)) continue;
    blocks[e] = block(e, state);
    const Eigen::MatrixXd eliminated = blocks[e].cross * blocks[e].places.inverse();
    normal.diagonal() += blocks[e].biases;
    normal -= eliminated * blocks[e].cross.transpose();
    right += blocks[e].biases_right - eliminated * blocks[e].places_right;
  }
  JointStep step{normal.ldlt().solve(right),
                 std::vector<Eigen::Vector2d>(emitters_.size(), Eigen::Vector2d::Zero())};
  for (std::size_t e = 0; e < emitters_.size(); ++e) {
    if (!takes_part(e)) continue;
    const Eigen::Vector2d left =
        blocks[e].places_right - blocks[e].cross.transpose() * step.bias_deg;
    step.moves_m[e] = blocks[e].places.inverse() * left;
  }
  return step;
}

JointState JointProblem::moved(const JointState& state, const JointStep& step, double share) const {
  JointState next = state;
  next.bias_deg += share * step.bias_deg;
  for (std::size_t e = 0; e < next.positions.size(); ++e) {
    const Eigen::Vector2d move_m = share * step.moves_m[e];
    next.positions[e] = geodesy::displace(next.positions[e], {move_m.x(), move_m.y()});
  }
  return next;
}

Eigen::MatrixXd JointProblem::information(const JointState& state) const {
  const auto n = static_cast<Eigen::Index>(stations_.size());
  Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(n, n);
  for (std::size_t e = 0; e < emitters_.size(); ++e) {
    if (!takes_part(e)) continue;
    const Block b = block(e, state);
    normal.diagonal() += b.biases;
    normal -= b.cross * b.places.inverse() * b.cross.transpose();
  }
  return normal;
}

Eigen::MatrixXd JointProblem::information_with_prior(const JointState& state) const {
  Eigen::MatrixXd normal = information(state);
  normal.diagonal().array() += prior_information_;
  return normal;
}

}  // namespace fixwright::calibrate
