#include "tests/db/command.hpp"

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <stdexcept>

namespace fixwright::test {

namespace {

[[noreturn]] void become(const std::vector<std::string>& words, int output) {
  dup2(output, STDOUT_FILENO);
  dup2(output, STDERR_FILENO);
  std::vector<char*> argv;
  for (const std::string& word : words) argv.push_back(const_cast<char*>(word.c_str()));
  argv.push_back(nullptr);
  execv(argv[0], argv.data());
  _exit(127);
}

std::string read_all(int input) {
  std::string text;
  std::array<char, 4096> buffer{};
  for (ssize_t n = 0; (n = read(input, buffer.data(), buffer.size())) > 0;) {
    text.append(buffer.data(), static_cast<std::size_t>(n));
  }
  return text;
}

}  // namespace

Finished run_command(const std::vector<std::string>& words) {
  std::array<int, 2> ends{};
  // Closed on exec: what the program leaves running, such as a cluster, must not hold it open.
  if (pipe2(ends.data(), O_CLOEXEC) != 0) throw std::runtime_error("no pipe");
  const pid_t child = fork();
  if (child < 0) throw std::runtime_error("no process");
  if (child == 0) become(words, ends[1]);
  close(ends[1]);
  Finished finished;
  finished.output = read_all(ends[0]);
  close(ends[0]);
  int status = 0;
  waitpid(child, &status, 0);
  finished.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return finished;
}

}  // namespace fixwright::test
