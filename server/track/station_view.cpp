#include "server/track/station_view.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <functional>
#include <span>

namespace fixwright::track {

namespace {

/// Of one instant a candidate sends at most one bearing: of more than these, the likeliest are
/// weighed. A flood of bearings would otherwise have its product of ways.
constexpr std::size_t kMostOfACandidate = 3;

using Ratios = std::array<double, 32>;  // by candidate: one bit each of a CandidateSet

/// By candidate: the least ratio that is kept.
Ratios least_kept(const std::vector<CandidateOption>& options) {
  Ratios least{};
  std::vector<double> own;
  for (unsigned c = 0; c < least.size(); ++c) {
    own.clear();
    for (const CandidateOption& o : options) {
      if (o.candidate == c) own.push_back(o.ratio);
    }
    if (own.size() <= kMostOfACandidate) continue;
    const auto last = own.begin() + (kMostOfACandidate - 1);
    std::nth_element(own.begin(), last, own.end(), std::greater<>());
    least[c] = *last;
  }
  return least;
}

/// Of equal ones the first.
void keep_best(std::vector<CandidateOption>& options) {
  if (options.size() <= kMostOfACandidate) return;
  const Ratios least = least_kept(options);
  std::array<std::size_t, least.size()> kept{};
  for (const CandidateOption& o : options)
    kept[o.candidate] += o.ratio > least[o.candidate] ? 1 : 0;
  std::erase_if(options, [&](const CandidateOption& o) {
    if (o.ratio != least[o.candidate]) return o.ratio < least[o.candidate];
    return ++kept[o.candidate] > kMostOfACandidate;
  });
}

/// All ways to give the bearings of one instant to those heard, each bearing and each candidate
/// at most once, and what they weigh together.
class Assignments {
 public:
  Assignments(std::span<const CandidateOption> options, CandidateSet heard, double seen)
      : options_(options), heard_(heard), seen_(seen) {}

  /// \param shares  nullptr, or one an option: the weight of the ways that use it.
  double weigh(double* shares) { return weigh_from(0, 0, 1.0, shares); }

 private:
  [[nodiscard]] std::size_t next_bearing(std::size_t i) const {
    const std::size_t bearing = options_[i].bearing;
    while (i < options_.size() && options_[i].bearing == bearing) ++i;
    return i;
  }

  [[nodiscard]] double weight_of_unseen(CandidateSet taken) const {
    return std::pow(1.0 - seen_, std::popcount(heard_ & ~taken));
  }

  double weigh_from(std::size_t i, CandidateSet taken, double weight, double* shares) {
    if (i == options_.size()) return weight * weight_of_unseen(taken);
    const std::size_t next = next_bearing(i);
    double sum = weigh_from(next, taken, weight, shares);  // nobody's
    for (std::size_t o = i; o < next; ++o) {
      const CandidateSet bit = 1U << options_[o].candidate;
      if ((heard_ & ~taken & bit) == 0) continue;
      const double with = weigh_from(next, taken | bit, weight * options_[o].ratio * seen_, shares);
      if (shares != nullptr) shares[o] += with;
      sum += with;
    }
    return sum;
  }

  std::span<const CandidateOption> options_;
  CandidateSet heard_;
  double seen_;
};

}  // namespace

void StationView::add_instant(std::vector<CandidateOption> options) {
  const std::size_t first = options_.size();
  keep_best(options);
  for (const CandidateOption& o : options) able_ |= 1U << o.candidate;
  options_.insert(options_.end(), options.begin(), options.end());
  instants_.push_back({first, options_.size()});
}

double StationView::log_ratio(CandidateSet heard) const {
  double sum = 0.0;
  for (const Instant& t : instants_) {
    const std::span options(options_.data() + t.first, t.last - t.first);
    sum += std::log(Assignments(options, heard, seen_at_an_instant()).weigh(nullptr));
  }
  return sum;
}

void StationView::add_shares(CandidateSet heard, double weight, std::vector<double>& shares) const {
  std::vector<double> ways;
  for (const Instant& t : instants_) {
    const std::span options(options_.data() + t.first, t.last - t.first);
    ways.assign(options.size(), 0.0);
    const double all = Assignments(options, heard, seen_at_an_instant()).weigh(ways.data());
    for (std::size_t o = 0; o < ways.size() && all > 0.0; ++o) {
      shares[t.first + o] += weight * ways[o] / all;
    }
  }
}

}  // namespace fixwright::track
