#include "station_agent/clock/child_output.hpp"

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>

extern char** environ;

namespace fixwright::agent {

namespace {

constexpr std::size_t kMostBytes = 65'536;

/// Which descriptors and signals the child starts with: /dev/null, our pipe, no signal blocked.
class Conditions {
 public:
  explicit Conditions(int out) {
    posix_spawn_file_actions_init(&files_);
    posix_spawn_file_actions_addopen(&files_, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&files_, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_adddup2(&files_, out, STDOUT_FILENO);
    posix_spawnattr_init(&attributes_);
    sigset_t none;
    sigemptyset(&none);
    posix_spawnattr_setsigmask(&attributes_, &none);
    posix_spawnattr_setflags(&attributes_, POSIX_SPAWN_SETSIGMASK);
  }
  Conditions(const Conditions&) = delete;
  Conditions& operator=(const Conditions&) = delete;
  ~Conditions() {
    posix_spawn_file_actions_destroy(&files_);
    posix_spawnattr_destroy(&attributes_);
  }
  int spawn(pid_t* child, char** arguments) {
    return posix_spawnp(child, arguments[0], &files_, &attributes_, arguments, environ);
  }

 private:
  posix_spawn_file_actions_t files_{};
  posix_spawnattr_t attributes_{};
};

}  // namespace

ChildOutput::ChildOutput(const std::vector<std::string>& command, Duration limit)
    : deadline_(std::chrono::steady_clock::now() + limit) {
  std::array<int, 2> ends{};
  if (pipe2(ends.data(), O_CLOEXEC | O_NONBLOCK) != 0) {
    state_ = State::failed;
    return;
  }
  pipe_ = ends[0];
  std::vector<std::string> own = command;
  std::vector<char*> arguments;
  for (std::string& a : own) arguments.push_back(a.data());
  arguments.push_back(nullptr);
  // The child must not find its own output non-blocking.
  fcntl(ends[1], F_SETFL, 0);
  if (Conditions(ends[1]).spawn(&child_, arguments.data()) != 0) {
    child_ = -1;
    state_ = State::failed;
  }
  close(ends[1]);
}

ChildOutput::~ChildOutput() {
  kill_child();
  if (pipe_ >= 0) close(pipe_);
}

void ChildOutput::kill_child() {
  if (child_ <= 0) return;
  ::kill(child_, SIGKILL);
  while (waitpid(child_, nullptr, 0) < 0 && errno == EINTR) continue;
  child_ = -1;
}

void ChildOutput::read_some() {
  std::array<char, 4096> bytes;  // NOLINT(cppcoreguidelines-pro-type-member-init): read fills it
  while (output_.size() <= kMostBytes) {
    const auto n = ::read(pipe_, bytes.data(), bytes.size());
    if (n <= 0) return;
    output_.append(bytes.data(), static_cast<std::size_t>(n));
  }
}

ChildOutput::State ChildOutput::poll() {
  if (state_ != State::running) return state_;
  read_some();
  int status = 0;
  const pid_t ended = waitpid(child_, &status, WNOHANG);
  if (ended == child_) {
    child_ = -1;
    read_some();  // what came between
    const bool good = WIFEXITED(status) && WEXITSTATUS(status) == 0;
    state_ = good && output_.size() <= kMostBytes ? State::done : State::failed;
  } else if (std::chrono::steady_clock::now() > deadline_ || output_.size() > kMostBytes) {
    kill_child();
    state_ = State::failed;
  }
  return state_;
}

}  // namespace fixwright::agent
