/// An estimator takes all its memory at construction.

#include <gtest/gtest.h>

#include <cstddef>

#include "tests/unit/station_agent/array/array_scene.hpp"

// Eigen asks malloc, and so does operator new. Sanitizers bring their own malloc, with a hook.
namespace {
std::size_t allocations = 0;
}  // namespace

#if defined __SANITIZE_ADDRESS__ || defined __SANITIZE_THREAD__
extern "C" int __sanitizer_install_malloc_and_free_hooks(void (*on_malloc)(const volatile void*,
                                                                           std::size_t),
                                                         void (*on_free)(const volatile void*));
namespace {
const int installed = __sanitizer_install_malloc_and_free_hooks(
    [](const volatile void*, std::size_t) { ++allocations; }, [](const volatile void*) {});
}
#else
extern "C" void* __libc_malloc(std::size_t size);
extern "C" void* malloc(std::size_t size) {
  ++allocations;
  return __libc_malloc(size);
}
#endif

namespace fixwright::agent::array {
namespace {

TEST(AzimuthEstimator, NeverAllocatesOnceConstructed) {
  const Manifold manifold{circular_array(8, 0.5), perfect(8)};
  Chance chance{91};
  const SpatialCovariance looks[] = {
      covariance_of(manifold, {{10.0, 20.0}}, 200, chance),
      covariance_of(manifold, {{10.0, 20.0, 0}, {90.0, 15.0, 1}}, 200, chance),
      covariance_of(manifold, {{10.0, 20.0, 0}, {90.0, 15.0, 0, 60.0}}, 200, chance),
      covariance_of(manifold, {}, 200, chance),
  };
  AzimuthEstimator estimator{manifold};
  int accepted = 0;
  int second = 0;
  const std::size_t before = allocations;
  for (SpatialCovariance look : looks) {
    // More frequencies than the steering vectors of are kept.
    for (int i = 0; i < 80; ++i) {
      look.frequency_hz = kMetreWave_hz * (1.0 + 1e-3 * i);
      const Estimate e = estimator.estimate(look);
      accepted += e.accepted() ? 1 : 0;
      second += e.second != SecondSource::none ? 1 : 0;
    }
  }
  EXPECT_EQ(allocations, before);
  EXPECT_GE(accepted, 100);
  EXPECT_GE(second, 20);
}

TEST(Allocations, AreCounted) {
  const std::size_t before = allocations;
  const Eigen::MatrixXcd matrix = Eigen::MatrixXcd::Random(30, 30);
  EXPECT_GT(allocations, before) << matrix.norm();
}

}  // namespace
}  // namespace fixwright::agent::array
