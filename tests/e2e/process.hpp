#pragma once
/// A real program under test: started with a log file, ended by its pid, never left behind.

#include <sys/types.h>

#include <chrono>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace fixwright::e2e {

class Process {
 public:
  /// Starts `command` (path, then arguments); both output streams go to `log`.
  Process(const std::vector<std::string>& command, std::filesystem::path log);
  ~Process();  // SIGKILL, if it still runs
  Process(const Process&) = delete;
  Process& operator=(const Process&) = delete;

  void signal(int number) const;
  /// The exit code (128 + signal when killed), or nothing when it still runs after `limit`.
  std::optional<int> wait(std::chrono::seconds limit);
  [[nodiscard]] std::string log() const;
  [[nodiscard]] pid_t pid() const { return pid_; }

 private:
  std::filesystem::path log_;
  pid_t pid_ = -1;
  std::optional<int> exit_code_;
};

/// Runs `ready` every 20 ms until it is true. \return false when `limit` passed first.
template <typename Ready>
bool wait_until(std::chrono::seconds limit, Ready ready);

/// Runs a program to its end. \return its exit code; -1 when it ran longer than `limit`.
int run(const std::vector<std::string>& command, const std::filesystem::path& log,
        std::chrono::seconds limit);

std::string read_file(const std::filesystem::path& path);
void write_file(const std::filesystem::path& path, const std::string& text);

void pause_briefly();

template <typename Ready>
bool wait_until(std::chrono::seconds limit, Ready ready) {
  const auto end = std::chrono::steady_clock::now() + limit;
  while (!ready()) {
    if (std::chrono::steady_clock::now() > end) return false;
    pause_briefly();
  }
  return true;
}

}  // namespace fixwright::e2e
