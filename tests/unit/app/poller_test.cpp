#include "server/app/poller.hpp"

#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <optional>
#include <stdexcept>
#include <thread>

#include "server/store/database.hpp"

namespace fixwright::app {
namespace {

using namespace std::chrono_literals;

/// Waits for it to come true; a minute is for a machine that is very busy.
bool comes_true(const std::function<bool()>& it) {
  const auto end = std::chrono::steady_clock::now() + 1min;
  while (!it()) {
    if (std::chrono::steady_clock::now() > end) return false;
    std::this_thread::sleep_for(1ms);
  }
  return true;
}

TEST(Poller, LooksAtOnceAndNotAgainBeforeTheInterval) {
  std::atomic<int> looks = 0;
  {
    const Poller poller({1h, "never"}, [&] { ++looks; });
    EXPECT_TRUE(comes_true([&] { return looks == 1; }));
  }
  EXPECT_EQ(looks, 1);
}

TEST(Poller, LooksAgainAfterALookThatFailed) {
  std::atomic<int> looks = 0;
  const Poller poller({1ms, "this is what the test throws"}, [&] {
    if (++looks == 1) throw std::runtime_error("on purpose");
    if (looks == 2) throw store::DatabaseAway("on purpose");
  });
  EXPECT_TRUE(comes_true([&] { return looks >= 3; }));
}

TEST(Poller, ItsEndWaitsForALookThatBegan) {
  std::atomic<bool> began = false;
  std::atomic<bool> ended = false;
  std::optional<Poller> poller;
  poller.emplace(Poller::Rules{1h, "never"}, [&] {
    began = true;
    std::this_thread::sleep_for(20ms);
    ended = true;
  });
  ASSERT_TRUE(comes_true([&] { return began.load(); }));
  poller.reset();
  EXPECT_TRUE(ended);
}

}  // namespace
}  // namespace fixwright::app
