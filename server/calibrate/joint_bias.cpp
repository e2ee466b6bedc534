#include "server/calibrate/joint_bias.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"
#include "server/calibrate/joint_problem.hpp"

namespace fixwright::calibrate {

namespace {

constexpr double kConvergedDeg = 1e-5;
constexpr double kConvergedM = 0.1;
/// How much of the open direction is shared by all stations before it is called a rotation.
constexpr double kCommonRotation = 0.9;

Error refuse(const std::string& why) { return Error{"no calibration proposed: " + why}; }

/// Fewer observations than unknowns, told as a person would mend it.
std::optional<Error> too_few(const JointProblem& problem) {
  const auto stations = static_cast<int>(problem.stations().size());
  const int unknowns = stations + problem.place_unknowns();
  if (stations >= 2 && problem.observations() >= unknowns) return std::nullopt;
  return refuse(fmt::format(
      "{} station means for {} unknowns ({} station biases, {} coordinates of emitters); let more "
      "stations hear more emitters (3 stations need 3, 4 need 2) or add a reference transmitter",
      problem.observations(), unknowns, stations, problem.place_unknowns()));
}

/// A direction of the biases that only the prior would decide.
std::optional<Error> open_direction(const JointProblem& problem, const JointState& state,
                                    const JointRules& rules) {
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solver{problem.information(state)};
  const double least = solver.eigenvalues()[0];
  if (least > 1.0 / (rules.open_sigma_deg * rules.open_sigma_deg)) return std::nullopt;

  const Eigen::VectorXd direction = solver.eigenvectors().col(0);
  const double common =
      std::abs(direction.sum()) / std::sqrt(static_cast<double>(direction.size()));
  if (common > kCommonRotation) {
    return refuse(
        "a common rotation of all stations can't be seen: the emitters lie near one circle through "
        "the stations; use an emitter well off it, or a reference transmitter");
  }
  Eigen::Index worst = 0;
  direction.cwiseAbs().maxCoeff(&worst);
  return refuse(
      fmt::format("the bias of station {} can't be told from the places of its emitters; "
                  "let it hear more of them, from other sides",
                  problem.stations()[static_cast<std::size_t>(worst)]));
}

bool small(const JointStep& step) {
  const auto still = [](const Eigen::Vector2d& m) { return m.norm() < kConvergedM; };
  return step.bias_deg.cwiseAbs().maxCoeff() < kConvergedDeg &&
         std::ranges::all_of(step.moves_m, still);
}

struct Solution {
  JointState state;
  int iterations = 0;
};

/// Gauss-Newton with halved steps while they don't help.
Result<Solution> solve(const JointProblem& problem, const JointRules& rules) {
  Solution s{problem.start(), 0};
  double cost = problem.cost(s.state);
  while (s.iterations++ < rules.max_iterations) {
    const JointStep step = problem.step(s.state);
    if (!step.bias_deg.allFinite()) break;
    bool better = false;
    for (double share = 1.0; share > 1e-3 && !better; share /= 2.0) {
      JointState next = problem.moved(s.state, step, share);
      const double next_cost = problem.cost(next);
      better = next_cost < cost;
      if (!better) continue;
      s.state = std::move(next);
      cost = next_cost;
    }
    if (small(step)) return s;
    if (!better) break;
  }
  return refuse(
      fmt::format("no convergence after {} iterations; are the emitters still, and each "
                  "one emitter?",
                  s.iterations));
}

/// Sums over one station's observations.
struct StationSums {
  double squares = 0.0;
  double stated = 0.0;
  std::size_t means = 0;
};

CalibrationProposal proposal_of(StationId station, std::span<const JointObservation> observations,
                                const std::vector<double>& residuals, const JointProblem& problem,
                                const JointCalibration& whole, StationSums& sums) {
  CalibrationProposal p;
  p.station = station;
  bool any = false;
  for (std::size_t i = 0; i < observations.size(); ++i) {
    const JointObservation& o = observations[i];
    if (o.station != station || !problem.takes_part(o.emitter)) continue;
    sums.squares += residuals[i] * residuals[i];
    sums.stated += o.sigma_deg * o.sigma_deg;
    ++sums.means;
    p.bearings += o.bearings;
    p.first = any ? std::min(p.first, o.first) : o.first;
    p.last = any ? std::max(p.last, o.last) : o.last;
    any = true;
  }
  p.references = sums.means;
  const double redundancy = static_cast<double>(sums.means) * whole.degrees_of_freedom /
                            static_cast<double>(problem.observations());
  p.spread_deg = std::sqrt(redundancy > 0.0 ? sums.squares / redundancy
                                            : sums.stated / static_cast<double>(sums.means));
  return p;
}

void add_proposals(JointCalibration& whole, std::span<const JointObservation> observations,
                   const JointProblem& problem, const JointState& state) {
  const auto residuals = problem.residuals(state);
  const Eigen::MatrixXd covariance = problem.information_with_prior(state).inverse();
  const double excess =
      whole.degrees_of_freedom > 0 ? whole.chi_square / whole.degrees_of_freedom : 1.0;
  for (std::size_t s = 0; s < problem.stations().size(); ++s) {
    StationSums sums;
    const auto i = static_cast<Eigen::Index>(s);
    CalibrationProposal p =
        proposal_of(problem.stations()[s], observations, residuals, problem, whole, sums);
    p.bias_deg = wrap_180(state.bias_deg[i]);
    p.bias_sigma_deg = std::sqrt(covariance(i, i) * std::max(1.0, excess));
    p.evidence = fmt::format(
        "jointly from {} emitters and {} stations: bias {:+.2f} +- {:.2f} deg, means scatter "
        "{:.2f} "
        "deg; chi-square {:.1f} with {} degrees of freedom",
        p.references, problem.stations().size(), p.bias_deg, p.bias_sigma_deg, p.spread_deg,
        whole.chi_square, whole.degrees_of_freedom);
    whole.proposals.push_back(std::move(p));
  }
}

}  // namespace

Result<JointCalibration> joint_bias(std::span<const JointObservation> observations,
                                    std::span<const JointEmitter> emitters,
                                    const JointRules& rules) {
  const JointProblem problem{observations, emitters, rules};
  if (const auto error = too_few(problem)) return *error;
  const auto solution = solve(problem, rules);
  if (!solution) return Error{solution.error()};
  if (const auto error = open_direction(problem, solution->state, rules)) return *error;

  JointCalibration whole;
  whole.positions = solution->state.positions;
  whole.iterations = solution->iterations;
  whole.chi_square = problem.chi_square(solution->state);
  whole.degrees_of_freedom = problem.observations() - problem.place_unknowns() -
                             static_cast<int>(problem.stations().size());
  add_proposals(whole, observations, problem, solution->state);
  return whole;
}

}  // namespace fixwright::calibrate
