#include "station_agent/array/array_order.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cassert>
#include <cmath>

#include "server/base/angle.hpp"
#include "station_agent/array/look.hpp"

namespace fixwright::agent::array {

namespace {

constexpr double kTurnStep_deg = 1.0;
constexpr double kAsGood = 1.5;  // times the best misfit still counts as fitting as well

/// A numbering of the elements, and what it would be called.
struct Numbering {
  ArrayExplanation name;
  Manifold manifold;
};

struct Seen {
  ElementVector vector;  // of length 1, noise alike
  ElementReals scale;
  double azimuth_deg = 0.0;
  double frequency_hz = 0.0;
};

Manifold renumbered(const Manifold& manifold, const std::vector<int>& order) {
  ArrayGeometry geometry = manifold.geometry();
  for (int e = 0; e < manifold.elements(); ++e) {
    geometry.elements[e] = manifold.geometry().elements[order[e]];
  }
  return Manifold{geometry, manifold.calibration()};
}

std::vector<int> as_configured(int n) {
  std::vector<int> order(n);
  for (int e = 0; e < n; ++e) order[e] = e;
  return order;
}

void add_swaps(const Manifold& manifold, std::vector<Numbering>& all) {
  const int n = manifold.elements();
  for (int i = 0; i < n; ++i) {
    for (int j = i + 1; j < n; ++j) {
      std::vector<int> order = as_configured(n);
      std::swap(order[i], order[j]);
      all.push_back({{ArrayMistake::swapped, i, j}, renumbered(manifold, order)});
    }
  }
}

std::vector<Numbering> numberings(const Manifold& manifold) {
  const int n = manifold.elements();
  std::vector<Numbering> all{{{}, renumbered(manifold, as_configured(n))}};
  add_swaps(manifold, all);
  // A line is read from its other end; anything else keeps its first element.
  const int last = is_linear(manifold.geometry()) ? n - 1 : n;
  std::vector<int> order(n);
  for (int e = 0; e < n; ++e) order[e] = (last - e) % n;
  all.push_back({{ArrayMistake::reversed}, renumbered(manifold, order)});
  for (int k = 1; k < n; ++k) {
    for (int e = 0; e < n; ++e) order[e] = (e + k) % n;
    all.push_back({{ArrayMistake::shifted, k}, renumbered(manifold, order)});
  }
  return all;
}

double misfit_deg(const Manifold& manifold, const std::vector<Seen>& looks, double turn_deg) {
  double explained = 0.0;
  for (const Seen& seen : looks) {
    ElementVector b = manifold.steering(seen.azimuth_deg - turn_deg, seen.frequency_hz);
    b.array() *= seen.scale.array();
    explained += std::norm(b.dot(seen.vector)) / b.squaredNorm();
  }
  explained /= static_cast<double>(looks.size());
  return std::sqrt(std::max(1.0 - explained, 0.0) / (2.0 * std::max(explained, 1e-6))) * kRadToDeg;
}

/// The turn that explains most, by degrees and then by hundredths.
double best_turn_deg(const Manifold& manifold, const std::vector<Seen>& looks) {
  double best_deg = 0.0;
  double least = misfit_deg(manifold, looks, 0.0);
  const auto consider = [&](double turn_deg) {
    const double left = misfit_deg(manifold, looks, turn_deg);
    if (left >= least) return;
    least = left;
    best_deg = turn_deg;
  };
  for (double t = -180.0 + kTurnStep_deg; t <= 180.0; t += kTurnStep_deg) consider(t);
  const double middle_deg = best_deg;
  for (int i = -100; i <= 100; ++i) consider(middle_deg + 0.01 * i);
  return best_deg;
}

/// Both readings of each numbering: with the orientation as configured, and turned.
std::vector<ArrayExplanation> explanations(const Manifold& manifold,
                                           const std::vector<Seen>& looks) {
  std::vector<ArrayExplanation> all;
  for (const Numbering& numbering : numberings(manifold)) {
    ArrayExplanation e = numbering.name;
    e.misfit_deg = misfit_deg(numbering.manifold, looks, 0.0);
    all.push_back(e);
    e.turn_deg = wrap_180(best_turn_deg(numbering.manifold, looks));
    e.misfit_deg = misfit_deg(numbering.manifold, looks, e.turn_deg);
    if (e.mistake == ArrayMistake::none) e.mistake = ArrayMistake::turned;
    all.push_back(e);
  }
  return all;
}

/// Fewer mistakes first; a turn on top of another mistake is one more.
int plainness(const ArrayExplanation& e) {
  const bool and_turned = e.turn_deg != 0.0 && e.mistake != ArrayMistake::turned;
  return static_cast<int>(e.mistake) + (and_turned ? 10 : 0);
}

std::vector<Seen> seen_in(const std::vector<KnownLook>& looks) {
  std::vector<Seen> all;
  for (const KnownLook& known : looks) {
    const Look look = look_of(known.look);
    all.push_back({look.subspace.principal(), look.scale, known.azimuth_deg, look.frequency_hz});
  }
  return all;
}

}  // namespace

std::string_view word(ArrayMistake mistake) {
  switch (mistake) {
    case ArrayMistake::none:
      return "none";
    case ArrayMistake::turned:
      return "turned";
    case ArrayMistake::swapped:
      return "swapped";
    case ArrayMistake::reversed:
      return "reversed";
    case ArrayMistake::shifted:
      return "shifted";
    case ArrayMistake::unknown:
      return "unknown";
  }
  return "unknown";
}

OrderVerdict explain_order(const Manifold& manifold, const std::vector<KnownLook>& looks,
                           double tolerance_deg) {
  assert(!looks.empty());
  std::vector<ArrayExplanation> all = explanations(manifold, seen_in(looks));
  double least_deg = all.front().misfit_deg;
  for (const ArrayExplanation& e : all) least_deg = std::min(least_deg, e.misfit_deg);
  OrderVerdict verdict;
  if (all.front().misfit_deg <= tolerance_deg) {  // as configured: nothing to explain
    verdict.likeliest = all.front();
    return verdict;
  }
  if (least_deg > tolerance_deg) {
    verdict.likeliest.mistake = ArrayMistake::unknown;
    verdict.likeliest.misfit_deg = least_deg;
    return verdict;
  }
  const double good_deg =
      std::min(std::max(kAsGood * least_deg, 0.25 * tolerance_deg), tolerance_deg);
  std::erase_if(all, [&](const auto& e) { return e.misfit_deg > good_deg; });
  std::stable_sort(all.begin(), all.end(),
                   [](const auto& a, const auto& b) { return plainness(a) < plainness(b); });
  verdict.likeliest = all.front();
  verdict.equals.assign(all.begin() + 1, all.end());
  return verdict;
}

std::string describe(const ArrayExplanation& e) {
  std::string text;
  switch (e.mistake) {
    case ArrayMistake::none:
      return "the array stands as configured";
    case ArrayMistake::turned:
      return fmt::format("the array is turned by {:+.1f} deg: orientation_deg needs as much added",
                         e.turn_deg);
    case ArrayMistake::swapped:
      text = fmt::format("elements {} and {} are swapped", e.first + 1, e.second + 1);
      break;
    case ArrayMistake::reversed:
      text = "the elements are numbered the other way round";
      break;
    case ArrayMistake::shifted:
      text = fmt::format("the elements are numbered from element {} on", e.first + 1);
      break;
    case ArrayMistake::unknown:
      return fmt::format(
          "no swap, order or turn explains the known transmitter: {:.0f} deg are left",
          e.misfit_deg);
  }
  if (e.turn_deg != 0.0)
    text += fmt::format(", and the array is turned by {:+.1f} deg", e.turn_deg);
  return text;
}

}  // namespace fixwright::agent::array
