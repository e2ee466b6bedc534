#include "server/app/bearing_writer.hpp"

#include <gtest/gtest.h>

#include <atomic>
#include <future>

#include "tests/unit/app/memory_log.hpp"

namespace fixwright::app {
namespace {

Bearing bearing(StationId station, std::uint64_t sequence) {
  Bearing b;
  b.key = {station, 7, sequence};
  return b;
}

WriterRules quick_retry() {
  WriterRules rules;
  rules.first_retry = std::chrono::milliseconds{1};
  rules.last_retry = std::chrono::milliseconds{2};
  return rules;
}

struct Bench {
  MemoryLog log;
  Metrics metrics;
  std::mutex mutex;
  std::vector<std::string> order;  // what happened, in order

  void note(const std::string& what) {
    const std::lock_guard lock(mutex);
    order.push_back(what);
  }
};

TEST(BearingWriter, BatchesAreDoneInOrderAndAfterTheyAreStored) {
  Bench bench;
  BearingWriter writer(bench.log, WriterRules{}, bench.metrics, [&](std::vector<Bearing> stored) {
    for (const Bearing& b : stored) bench.note("stored " + std::to_string(b.key.sequence));
  });
  writer.push({{bearing(1, 1)}, [&] { bench.note("done 1"); }});
  writer.push({{}, [&] { bench.note("done nothing"); }});
  writer.push({{bearing(1, 2)}, [&] { bench.note("done 2"); }});
  writer.stop();
  // One commit may have taken all three, or each its own: both orders keep the promise.
  const auto at = [&](const std::string& what) {
    return std::find(bench.order.begin(), bench.order.end(), what) - bench.order.begin();
  };
  ASSERT_EQ(bench.order.size(), 5U);
  EXPECT_LT(at("stored 1"), at("done 1"));
  EXPECT_LT(at("done 1"), at("done nothing"));
  EXPECT_LT(at("done nothing"), at("done 2"));
  EXPECT_LT(at("stored 2"), at("done 2"));
}

TEST(BearingWriter, NothingIsDoneWhileTheDatabaseIsAwayAndNothingIsLost) {
  Bench bench;
  bench.log.fail(3);
  std::promise<void> done;
  BearingWriter writer(bench.log, quick_retry(), bench.metrics, [](std::vector<Bearing>) {});
  writer.push({{bearing(1, 1)}, [&] { done.set_value(); }});
  done.get_future().wait();
  EXPECT_EQ(bench.log.appends(), 4);
  EXPECT_EQ(bench.log.stored().size(), 1U);
  EXPECT_FALSE(writer.stalled());
  writer.stop();
}

TEST(BearingWriter, StoppingWithTheDatabaseAwayPromisesNothing) {
  Bench bench;
  bench.log.fail(1'000'000);
  std::atomic<bool> done = false;
  BearingWriter writer(bench.log, quick_retry(), bench.metrics, [](std::vector<Bearing>) {});
  writer.push({{bearing(1, 1)}, [&] { done = true; }});
  while (!writer.stalled()) std::this_thread::yield();
  writer.stop();
  EXPECT_FALSE(done);
  EXPECT_TRUE(bench.log.stored().empty());
}

TEST(BearingWriter, AResentBearingIsDoneAgainButStoredOnce) {
  Bench bench;
  std::atomic<int> done = 0;
  std::atomic<int> stored = 0;
  BearingWriter writer(bench.log, WriterRules{}, bench.metrics, [&](std::vector<Bearing> fresh) {
    stored += static_cast<int>(fresh.size());
  });
  writer.push({{bearing(1, 1)}, [&] { ++done; }});
  writer.push({{bearing(1, 1)}, [&] { ++done; }});
  writer.stop();
  EXPECT_EQ(done, 2);
  EXPECT_EQ(stored, 1);
}

}  // namespace
}  // namespace fixwright::app
