/// The links against least squares on the whole path at once: no filter, no recursion, one normal
/// matrix of every moment's state.

#include "server/track/smoothing_link.hpp"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <vector>

#include "server/geodesy/local_frame.hpp"
#include "server/track/state_matrix.hpp"
#include "tests/support/scenario/simulator.hpp"
#include "tests/unit/track/support.hpp"

namespace fixwright::track {
namespace {

using namespace testing;

constexpr int kSteps = 24;
constexpr int kSites = 2;  // the second is first heard half way
constexpr int kSecondFrom = 12;
constexpr double kSite_deg = 0.7;  // one sigma
constexpr double kNoise_deg = 0.5;

/// One step: time passes, a bearing is heard, the axes turn.
struct Step {
  double dt = 0.0;
  double turn_rad = 0.0;
  Eigen::Vector4d slope;  // deg per m and per m/s
  int site = 0;
  double heard_deg = 0.0;
};

std::vector<Step> made_steps() {
  scenario::Dice dice(21);
  std::vector<Step> all;
  for (int i = 0; i < kSteps; ++i) {
    Step s;
    s.dt = 1.0 + 3.0 * dice.uniform();
    s.turn_rad = 0.2 * dice.normal();
    s.slope << 0.02 * dice.normal(), 0.02 * dice.normal(), 0.0, 0.0;
    s.site = i >= kSecondFrom ? i % 2 : 0;
    s.heard_deg = 2.0 * dice.normal();
    all.push_back(s);
  }
  return all;
}

Eigen::Matrix4d drift_of(double dt) {
  Eigen::Matrix4d f = Eigen::Matrix4d::Identity();
  f(0, 2) = f(1, 3) = dt;
  return f;
}

Eigen::Matrix4d wander_of(double dt) {
  Eigen::Matrix4d q = Eigen::Matrix4d::Zero();
  for (int a = 0; a < 2; ++a) {
    q(a, a) = dt * dt * dt / 3.0;
    q(a, a + 2) = q(a + 2, a) = dt * dt / 2.0;
    q(a + 2, a + 2) = dt;
  }
  return 0.3 * 0.3 * q;
}

/// New east and north of an old vector, axes turned clockwise.
Eigen::Matrix4d turn_of(double rad) {
  const double c = std::cos(rad);
  const double s = std::sin(rad);
  Eigen::Matrix4d r = Eigen::Matrix4d::Zero();
  for (int e = 0; e < 4; e += 2) r.block<2, 2>(e, e) << c, s, -s, c;
  return r;
}

/// Every unknown at once: the state before step 0, after each step (before its turn), the sites.
struct Batch {
  Eigen::VectorXd mean;
  Eigen::MatrixXd covariance;
};

constexpr int kUnknowns = 4 * (kSteps + 1) + kSites;

const Eigen::Vector4d kPriorVariance{900.0, 400.0, 100.0, 100.0};

Batch solve_batch(const std::vector<Step>& steps) {
  Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(kUnknowns, kUnknowns);
  Eigen::VectorXd right = Eigen::VectorXd::Zero(kUnknowns);
  normal.topLeftCorner<4, 4>() = kPriorVariance.cwiseInverse().asDiagonal();
  for (int s = 0; s < kSites; ++s) {
    normal(kUnknowns - kSites + s, kUnknowns - kSites + s) = 1.0 / (kSite_deg * kSite_deg);
  }
  Eigen::Matrix4d turned = Eigen::Matrix4d::Identity();
  for (int i = 0; i < kSteps; ++i) {
    const Step& s = steps[static_cast<std::size_t>(i)];
    Eigen::MatrixXd moved = Eigen::MatrixXd::Zero(4, kUnknowns);  // x(i+1) - F R x(i)
    moved.middleCols<4>(4 * i) = -drift_of(s.dt) * turned;
    moved.middleCols<4>(4 * i + 4).setIdentity();
    normal += moved.transpose() * wander_of(s.dt).inverse() * moved;
    Eigen::VectorXd h = Eigen::VectorXd::Zero(kUnknowns);
    h.segment<4>(4 * i + 4) = s.slope;
    h[kUnknowns - kSites + s.site] = 1.0;
    normal += h * h.transpose() / (kNoise_deg * kNoise_deg);
    right += h * s.heard_deg / (kNoise_deg * kNoise_deg);
    turned = turn_of(s.turn_rad);
  }
  const Eigen::LDLT<Eigen::MatrixXd> factor(normal);
  return {factor.solve(right), factor.solve(Eigen::MatrixXd::Identity(kUnknowns, kUnknowns))};
}

/// A Kalman filter of the same steps that tells links what it does, as MotionFilter does; the mean
/// place stays at kPlace, means are kept here.
struct Filtered {
  MotionState state;
  Eigen::VectorXd mean;  // of east, north, rates and sites
};

Filtered begin() {
  Filtered f;
  f.state.position = kPlace;
  f.mean = Eigen::VectorXd::Zero(4);
  covariance_map(f.state).diagonal() = kPriorVariance;
  return f;
}

void admit_site(Filtered& f, SmoothingLink& link) {
  f.state.site[f.state.sites] = static_cast<StationId>(f.state.sites + 1);
  ++f.state.sites;
  covariance_map(f.state).bottomRightCorner<1, 1>()(0, 0) = kSite_deg * kSite_deg;
  f.mean.conservativeResize(f.mean.size() + 1);
  f.mean[f.mean.size() - 1] = 0.0;
  link.admitted_site();
}

void take(Filtered& f, const Step& s, SmoothingLink& link) {
  const MotionState before = f.state;
  auto n = static_cast<Eigen::Index>(f.state.size());
  Eigen::MatrixXd drift = Eigen::MatrixXd::Identity(n, n);
  drift.topLeftCorner<4, 4>() = drift_of(s.dt);
  Eigen::MatrixXd p = drift * covariance_map(before) * drift.transpose();
  p.topLeftCorner<4, 4>() += wander_of(s.dt);
  covariance_map(f.state) = p;
  f.mean = (drift * f.mean).eval();
  link.advanced(before, f.state, s.dt);
  if (f.state.sites <= static_cast<std::size_t>(s.site)) admit_site(f, link);
  n = static_cast<Eigen::Index>(f.state.size());
  Eigen::VectorXd h = Eigen::VectorXd::Zero(n);
  h.head<4>() = s.slope;
  h[4 + s.site] = 1.0;
  p = covariance_map(f.state);
  const Eigen::VectorXd gain = p * h / (h.dot(p * h) + kNoise_deg * kNoise_deg);
  const Eigen::VectorXd by = gain * (s.heard_deg - h.dot(f.mean));
  p -= (gain * h.transpose() * p).eval();
  f.mean += by;
  link.moved(by.data(), f.state.size());
  Eigen::MatrixXd turn = Eigen::MatrixXd::Identity(n, n);
  turn.topLeftCorner<4, 4>() = turn_of(s.turn_rad);
  covariance_map(f.state) = turn * p * turn.transpose();
  f.mean = (turn * f.mean).eval();
  link.turned(s.turn_rad);
}

struct Chain {
  std::vector<Filtered> filtered;    // before each step and at the end
  std::vector<SmoothingLink> links;  // one a step
  SmoothingLink whole;               // grown over all of them
};

Chain run(const std::vector<Step>& steps) {
  Chain c;
  c.filtered.push_back(begin());
  c.whole = SmoothingLink(c.filtered.front().state);
  for (const Step& s : steps) {
    Filtered f = c.filtered.back();
    c.links.emplace_back(f.state);
    take(f, s, c.links.back());
    Filtered again = c.filtered.back();
    take(again, s, c.whole);
    c.filtered.push_back(f);
  }
  return c;
}

/// The links joined from [first, end), by halves or one by one.
SmoothingLink halved(const Chain& c, std::size_t first, std::size_t end) {
  if (end - first == 1) return c.links[first];
  const std::size_t middle = (first + end) / 2;
  return halved(c, first, middle).then(halved(c, middle, end));
}

SmoothingLink from_the_left(const Chain& c, std::size_t first) {
  SmoothingLink link(c.filtered[first].state);
  for (std::size_t i = first; i < c.links.size(); ++i) link = link.then(c.links[i]);
  return link;
}

SmoothingLink from_the_right(const Chain& c, std::size_t first) {
  SmoothingLink link(c.filtered.back().state);
  for (std::size_t i = c.links.size(); i-- > first;) link = c.links[i].then(link);
  return link;
}

/// The smoothed state before step i against the batch. The batch counts states before the turn of
/// the step that led there, the links after it.
void expect_batch(const Chain& c, const Batch& batch, const std::vector<Step>& steps, std::size_t i,
                  const SmoothingLink& link) {
  const Filtered& at = c.filtered[i];
  const MotionState s = link.smoothed(at.state, c.filtered.back().state);
  const auto n = static_cast<Eigen::Index>(at.state.size());
  Eigen::MatrixXd pick = Eigen::MatrixXd::Zero(n, kUnknowns);
  pick.middleCols<4>(4 * static_cast<Eigen::Index>(i)).topRows<4>() =
      i == 0 ? Eigen::Matrix4d::Identity().eval() : turn_of(steps[i - 1].turn_rad);
  pick.bottomRows(n - 4).middleCols(kUnknowns - kSites, n - 4).setIdentity();
  const Eigen::VectorXd mean = pick * batch.mean;
  const Eigen::MatrixXd p = pick * batch.covariance * pick.transpose();
  const auto [east, north] = geodesy::offset(kPlace, s.position);
  EXPECT_NEAR(at.mean[0] + east, mean[0], 1e-3);  // the step on the tangent plane: under 0.1 mm
  EXPECT_NEAR(at.mean[1] + north, mean[1], 1e-3);
  EXPECT_NEAR(at.mean[2] + s.speed_m_per_s[0], mean[2], 1e-7);  // rounding of the inverses
  EXPECT_NEAR(at.mean[3] + s.speed_m_per_s[1], mean[3], 1e-7);
  for (std::size_t j = 0; j < s.sites; ++j) {
    const auto k = static_cast<Eigen::Index>(4 + j);
    EXPECT_NEAR(at.mean[k] + s.site_error_deg[j], mean[k], 1e-7);
  }
  EXPECT_LT((covariance_map(s) - p).cwiseAbs().maxCoeff(), 1e-7 * p.cwiseAbs().maxCoeff());
}

TEST(SmoothingLink, JoinedInAnyOrderTellsWhatTheWholePathsLeastSquaresTells) {
  const auto steps = made_steps();
  const Batch batch = solve_batch(steps);
  const Chain c = run(steps);
  for (std::size_t i = 0; i < c.links.size(); ++i) {
    SCOPED_TRACE(i);
    expect_batch(c, batch, steps, i, halved(c, i, c.links.size()));
    expect_batch(c, batch, steps, i, from_the_left(c, i));
    expect_batch(c, batch, steps, i, from_the_right(c, i));
  }
}

TEST(SmoothingLink, GrownOverAllStepsIsTheSameAsJoined) {
  const auto steps = made_steps();
  const Chain c = run(steps);
  expect_batch(c, solve_batch(steps), steps, 0, c.whole);
}

TEST(SmoothingLink, OfNoTimeLeavesTheStateAsItIs) {
  const Chain c = run(made_steps());
  const MotionState& end = c.filtered.back().state;
  const MotionState s = SmoothingLink(end).smoothed(end, end);
  EXPECT_EQ(s.position, end.position);
  EXPECT_EQ(s.speed_m_per_s, end.speed_m_per_s);
  for (std::size_t i = 0; i < end.size(); ++i) EXPECT_NEAR(s.p(i, i), end.p(i, i), 1e-12);
}

/// What is known later is never less: P smoothed <= P filtered, as matrices.
TEST(SmoothingLink, TheFutureNeverTakesKnowledgeAway) {
  const Chain c = run(made_steps());
  for (std::size_t i = 0; i < c.links.size(); ++i) {
    const MotionState& filtered = c.filtered[i].state;
    const MotionState s = from_the_right(c, i).smoothed(filtered, c.filtered.back().state);
    const Eigen::MatrixXd gained = covariance_map(filtered) - covariance_map(s);
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> axes(gained);
    EXPECT_GT(axes.eigenvalues().minCoeff(), -1e-8) << i;
    EXPECT_GT(axes.eigenvalues().maxCoeff(), 0.0) << i;
  }
}

}  // namespace
}  // namespace fixwright::track
