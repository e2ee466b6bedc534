#include "server/track/assignment.hpp"

#include <algorithm>
#include <numeric>

namespace fixwright::track {

namespace {

constexpr std::size_t kMaxExhaustive = 12;

struct Choice {
  std::vector<std::size_t> chosen;
  double cost = 0.0;
};

bool fits(const std::vector<Candidate>& all, const std::vector<std::size_t>& chosen,
          const Candidate& next) {
  return std::none_of(chosen.begin(), chosen.end(), [&](std::size_t i) {
    return all[i].bearing == next.bearing || all[i].emitter == next.emitter;
  });
}

bool better(const Choice& a, const Choice& b) {
  if (a.chosen.size() != b.chosen.size()) return a.chosen.size() > b.chosen.size();
  return a.cost < b.cost;
}

void search(const std::vector<Candidate>& all, std::size_t next, Choice& current, Choice& best) {
  if (next == all.size()) {
    if (better(current, best)) best = current;
    return;
  }
  if (fits(all, current.chosen, all[next])) {
    const double before = current.cost;
    current.chosen.push_back(next);
    current.cost += all[next].cost;
    search(all, next + 1, current, best);
    current.chosen.pop_back();
    current.cost = before;
  }
  search(all, next + 1, current, best);
}

std::vector<std::size_t> cheapest_first(const std::vector<Candidate>& all) {
  std::vector<std::size_t> order(all.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return all[a].cost < all[b].cost; });
  std::vector<std::size_t> chosen;
  for (const std::size_t i : order) {
    if (fits(all, chosen, all[i])) chosen.push_back(i);
  }
  std::sort(chosen.begin(), chosen.end());
  return chosen;
}

}  // namespace

std::vector<std::size_t> cheapest_assignment(const std::vector<Candidate>& candidates) {
  if (candidates.size() > kMaxExhaustive) return cheapest_first(candidates);
  Choice current;
  Choice best;
  search(candidates, 0, current, best);
  return best.chosen;
}

}  // namespace fixwright::track
