/// Once warm, blocks go through the detector without a single allocation.

#include <gtest/gtest.h>

#include <cstdlib>
#include <new>

#include "tests/unit/station_agent/detect/air.hpp"

namespace {
std::size_t allocations = 0;

void* counted(std::size_t size, std::size_t alignment) {
  ++allocations;
  void* p = std::aligned_alloc(alignment, (size + alignment - 1) / alignment * alignment);
  if (p == nullptr) {
    throw std::bad_alloc();
  }
  return p;
}
}  // namespace

void* operator new(std::size_t size) { return counted(size, alignof(std::max_align_t)); }
void* operator new(std::size_t size, std::align_val_t a) {
  return counted(size, static_cast<std::size_t>(a));
}
void operator delete(void* p) noexcept { std::free(p); }
void operator delete(void* p, std::size_t) noexcept { std::free(p); }
void operator delete(void* p, std::align_val_t) noexcept { std::free(p); }
void operator delete(void* p, std::size_t, std::align_val_t) noexcept { std::free(p); }

// Eigen asks malloc, not operator new. Sanitizers bring their own malloc, which must stay.
#ifdef __SANITIZE_ADDRESS__
constexpr bool kCountsMalloc = false;
#elif defined __SANITIZE_THREAD__
constexpr bool kCountsMalloc = false;
#else
constexpr bool kCountsMalloc = true;
extern "C" void* __libc_malloc(std::size_t size);
extern "C" void* malloc(std::size_t size) {
  ++allocations;
  return __libc_malloc(size);
}
#endif

namespace fixwright::agent::detect {
namespace {

constexpr std::size_t kFrames = 2400;

/// Both channels keyed on and off over and over, with looks opening, splitting and closing.
void fill(SampleBlock& block, std::size_t number) {
  block.resize(2, kFrames);
  block.start = air::kStart + from_seconds(0.01 * static_cast<double>(number));
  block.lost_frames_before = number % 50 == 49 ? 1 : 0;
  std::uint32_t state = static_cast<std::uint32_t>(number) * 2654435761U + 1U;
  const float level = number % 7 < 4 ? 0.1F : 0.0F;
  for (auto& x : block.samples) {
    state = state * 1664525U + 1013904223U;
    const float noise = static_cast<float>(state >> 16) / 65536.0F - 0.5F;
    x = {level + 0.01F * noise, level - 0.01F * noise};
  }
}

TEST(DetectorMemory, NoBlockAllocatesOnceEveryChannelHasBeenActive) {
  DetectorConfig c = air::config({1e3, 10e3}, 25e3, 2);
  c.rules.integration = std::chrono::milliseconds{20};
  Detector detector(c);
  SampleBlock block;
  LookList list;
  std::size_t looks = 0;
  std::size_t before = 0;
  for (std::size_t i = 0; i < 300; ++i) {
    if (i == 100) {
      before = allocations;
      looks = 0;
    }
    fill(block, i);
    list.clear();
    detector.process(block, list);
    looks += list.size();
  }
  EXPECT_EQ(allocations - before, 0U);
  EXPECT_GT(looks, 100U);
}

TEST(DetectorMemory, TheCounterCounts) {
  const std::size_t before = allocations;
  const Eigen::MatrixXd matrix = Eigen::MatrixXd::Zero(3, 3);
  const std::vector<double> values(static_cast<std::size_t>(3 + matrix.rows()));
  EXPECT_GE(allocations - before, kCountsMalloc ? 2U : 1U) << values.size();
}

}  // namespace
}  // namespace fixwright::agent::detect
