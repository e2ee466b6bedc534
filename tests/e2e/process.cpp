#include "tests/e2e/process.hpp"

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>

#include <fstream>
#include <sstream>
#include <stdexcept>
#include <thread>

extern char** environ;

namespace fixwright::e2e {

namespace {

std::vector<char*> argument_pointers(const std::vector<std::string>& command) {
  std::vector<char*> pointers;
  for (const std::string& argument : command) {
    pointers.push_back(const_cast<char*>(argument.c_str()));
  }
  pointers.push_back(nullptr);
  return pointers;
}

int exit_code_of(int status) {
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

}  // namespace

Process::Process(const std::vector<std::string>& command, std::filesystem::path log)
    : log_(std::move(log)) {
  posix_spawn_file_actions_t files;
  posix_spawn_file_actions_init(&files);
  posix_spawn_file_actions_addopen(&files, 0, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_addopen(&files, 1, log_.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0644);
  posix_spawn_file_actions_adddup2(&files, 1, 2);
  std::vector<char*> arguments = argument_pointers(command);
  const int failed =
      posix_spawn(&pid_, command.at(0).c_str(), &files, nullptr, arguments.data(), environ);
  posix_spawn_file_actions_destroy(&files);
  if (failed != 0) throw std::runtime_error("can't start " + command.at(0));
}

Process::~Process() {
  if (exit_code_) return;
  ::kill(pid_, SIGKILL);
  ::waitpid(pid_, nullptr, 0);
}

void Process::signal(int number) const { ::kill(pid_, number); }

std::optional<int> Process::wait(std::chrono::seconds limit) {
  wait_until(limit, [this] {
    int status = 0;
    if (!exit_code_ && ::waitpid(pid_, &status, WNOHANG) == pid_) exit_code_ = exit_code_of(status);
    return exit_code_.has_value();
  });
  return exit_code_;
}

std::string Process::log() const { return read_file(log_); }

int run(const std::vector<std::string>& command, const std::filesystem::path& log,
        std::chrono::seconds limit) {
  Process process(command, log);
  return process.wait(limit).value_or(-1);
}

std::string read_file(const std::filesystem::path& path) {
  std::ifstream file(path);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

void write_file(const std::filesystem::path& path, const std::string& text) {
  std::ofstream file(path);
  file << text;
  if (!file.flush()) throw std::runtime_error("can't write " + path.string());
}

void pause_briefly() { std::this_thread::sleep_for(std::chrono::milliseconds{20}); }

}  // namespace fixwright::e2e
