/// Once a block has had its size, reading another one takes nothing from the heap. This program
/// counts.

#include <gtest/gtest.h>

#include <atomic>
#include <cstdlib>
#include <new>

#include "station_agent/source/iq/recording_stream.hpp"
#include "station_agent/source/iq/sigmf_writer.hpp"
#include "tests/unit/station_agent/iq/iq_input_fixture.hpp"
#include "tests/unit/station_agent/temp_folder.hpp"

namespace {
std::atomic<long> allocations{0};

// Not inlined: GCC would take the pair of malloc and free apart and find them mismatched.
[[gnu::noinline]] void give_back(void* p) { std::free(p); }
}  // namespace

void* operator new(std::size_t size) {
  ++allocations;
  if (void* p = std::malloc(size)) return p;
  throw std::bad_alloc();
}
void operator delete(void* p) noexcept { give_back(p); }
void operator delete(void* p, std::size_t) noexcept { give_back(p); }

namespace fixwright::agent::iq {
namespace {

class Allocation : public testing::TestWithParam<const char*> {};

TEST_P(Allocation, NoneForABlockAfterTheFirst) {
  const TempFolder folder;
  const auto stem = folder.path() / "r";
  const ManualClock clock{TimePoint{}};
  auto writer =
      SigmfWriter::open({.stem = stem,
                         .type = parse_sample_type(GetParam()).value(),
                         .format = {.rate_hz = 48'000.0, .centre_hz = 1e8, .elements = 5}});
  ASSERT_TRUE(writer.ok()) << writer.error();
  const auto& w = *writer;
  ASSERT_TRUE(w->write(noise_block(5, 4096, 1)).ok());
  ASSERT_TRUE(w->finish().ok());
  auto stream = open_recording({.path = stem.string(), .block_frames = 512}, clock);
  ASSERT_TRUE(stream.ok()) << stream.error();
  SampleBlock block;
  ASSERT_EQ((*stream)->read(block, Duration{}).state, ReadState::samples);
  const long before = allocations;
  for (int i = 0; i < 7; ++i) {
    ASSERT_EQ((*stream)->read(block, Duration{}).state, ReadState::samples);
  }
  EXPECT_EQ(allocations - before, 0);
  EXPECT_GT(before, 0);  // the counter counts
}

INSTANTIATE_TEST_SUITE_P(Types, Allocation, testing::Values("cu8", "ci16_be", "cf32_le"),
                         [](const auto& param) { return std::string(param.param); });

}  // namespace
}  // namespace fixwright::agent::iq
