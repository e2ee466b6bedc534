#pragma once
/// Looks at something again and again, on its own thread, until it is destroyed.

#include <condition_variable>
#include <functional>
#include <mutex>
#include <string>
#include <thread>

#include "server/base/time.hpp"

namespace fixwright::app {

class Poller {
 public:
  struct Rules {
    Duration interval;    // from the end of a look to the next, > 0
    std::string trouble;  // what a failed look means: "the register is not read"
  };

  /// Looks at once, then every interval. A look that throws is told in the log, once while the
  /// trouble stays the same, and looks again; while the database is away it is silent, for the
  /// database's own watch tells of that.
  Poller(Rules rules, std::function<void()> look);
  /// Waits for a look that has begun.
  ~Poller();
  Poller(const Poller&) = delete;
  Poller& operator=(const Poller&) = delete;

 private:
  void run();
  void look();

  const Rules rules_;
  const std::function<void()> look_;
  std::string told_;
  std::mutex mutex_;
  std::condition_variable stop_;
  bool stopping_ = false;
  std::thread thread_;  // last: it begins when all else is there
};

}  // namespace fixwright::app
