/// The inner loop takes no memory: every operator new of this program is counted.

#include <gtest/gtest.h>

#include <atomic>
#include <cstdlib>
#include <new>
#include <vector>

#include "server/locate/crossings.hpp"
#include "server/locate/modes.hpp"
#include "tests/unit/locate/world.hpp"

namespace {
std::atomic<long> allocations{0};
}  // namespace

// Not inlined, or the compiler takes malloc for what delete was given.
[[gnu::noinline]] void* operator new(std::size_t bytes) {
  ++allocations;
  if (void* room = std::malloc(bytes > 0 ? bytes : 1)) {
    return room;
  }
  throw std::bad_alloc();
}
[[gnu::noinline]] void operator delete(void* room) noexcept { std::free(room); }
[[gnu::noinline]] void operator delete(void* room, std::size_t) noexcept { std::free(room); }

namespace fixwright::locate {
namespace {

/// Allocations while the place is solved from its start, by stations this far round the emitter.
long allocations_of_a_solution(double range_m) {
  std::vector<GeoPoint> places;
  for (const double azimuth : {10.0, 130.0, 250.0}) {
    places.push_back(geodesy::direct(world::kOrigin, azimuth, range_m));
  }
  auto bearings = world::exact_from(places, world::kOrigin, 1.0);
  std::mt19937_64 random(3);
  world::add_noise(bearings, random);
  const auto sights = make_sights(bearings, {});
  const std::vector<Choice> all(bearings.size(), 0);
  std::vector<Line> lines;
  believed_lines(sights, all, lines);
  const long before = allocations;
  const Crossing start = best_crossing(sights, 1e6);
  const Estimate e = refine_exactly(lines, geodesy::surface_point_of_normal(start.up), 1e6);
  const double doubt = disbelief(lines, e.chi_square, e.point);
  const long during = allocations - before;
  EXPECT_TRUE(e.converged);
  EXPECT_LT(doubt, 1e-6);  // at the solution the score is 0
  return during;
}

TEST(InnerLoop, TakesNoMemoryByTheFastAzimuth) { EXPECT_EQ(allocations_of_a_solution(30e3), 0); }

TEST(InnerLoop, TakesNoMemoryByTheExactGeodesic) { EXPECT_EQ(allocations_of_a_solution(400e3), 0); }

TEST(InnerLoop, TheCounterCounts) {
  const long before = allocations;
  const std::vector<double> room(100, 1.0);
  EXPECT_GT(allocations - before, 0) << room.size();
}

}  // namespace
}  // namespace fixwright::locate
