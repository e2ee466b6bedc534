#pragma once
/// How many emitters a set of rays shows, and which rays are whose. Inside `locate` only.

#include <span>
#include <vector>

#include "server/locate/rays.hpp"
#include "server/locate/rules.hpp"

namespace fixwright::locate {

/// One emitter: for each place of the rays the ray it owns, or kNoRay.
inline constexpr int kNoRay = -1;
struct RayOwner {
  std::vector<int> ray_of_place;  // indices into the rays
  double evidence_nats = 0.0;     // of there being this emitter, against chance
};

/// The emitters that together explain the rays best, each with three places or more, the best
/// supported first; none where chance explains the rays as well.
///
/// Evidence of an emitter: for each ray it owns, the density of its residual over that of clutter;
/// for each place that shows none, the chance of a miss; and Laplace's factor for its place against
/// the area where it could have been (D. J. C. MacKay, Information Theory, Inference, and Learning
/// Algorithms, 2003, 28). An emitter owns at most one ray a place, and a ray has one owner.
std::vector<RayOwner> find_emitters(std::span<const Ray> rays, const LocateRules& rules);

}  // namespace fixwright::locate
