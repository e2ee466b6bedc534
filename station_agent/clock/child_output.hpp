#pragma once
/// One run of another program, without ever waiting for it.

#include <sys/types.h>

#include <string>
#include <vector>

#include "server/base/time.hpp"

namespace fixwright::agent {

class ChildOutput {
 public:
  enum class State { running, done, failed };

  /// \param command  found by PATH. What it writes to standard error is dropped.
  /// \param limit  past which it is killed; by CLOCK_MONOTONIC.
  ChildOutput(const std::vector<std::string>& command, Duration limit);
  ChildOutput(const ChildOutput&) = delete;
  ChildOutput& operator=(const ChildOutput&) = delete;
  ~ChildOutput();

  /// Reads what is there. `done`: it ended with 0; `failed`: it could not be started, ended
  /// otherwise, wrote more than 64 KiB or ran too long.
  State poll();
  /// What it wrote so far.
  [[nodiscard]] const std::string& output() const { return output_; }

 private:
  void read_some();
  void kill_child();

  pid_t child_ = -1;
  int pipe_ = -1;
  std::chrono::steady_clock::time_point deadline_;
  std::string output_;
  State state_ = State::running;
};

}  // namespace fixwright::agent
