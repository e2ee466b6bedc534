#include "station_agent/spool/spool_lock.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <sys/file.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <string>
#include <string_view>
#include <utility>

namespace fixwright::agent {

namespace {

/// What the holder wrote into the lock file: its process number.
std::string holder_of(int fd) {
  std::array<char, 32> text{};
  const auto n = pread(fd, text.data(), text.size(), 0);
  std::string pid(text.data(), n > 0 ? static_cast<std::size_t>(n) : 0U);
  while (!pid.empty() && pid.back() == '\n') pid.pop_back();
  return pid.empty() ? "another process" : "process " + pid;
}

/// For people only: the lock itself is the kernel's, so a failed write changes nothing.
void sign(int fd) {
  const std::string pid = fmt::format("{}\n", getpid());
  if (ftruncate(fd, 0) != 0 || pwrite(fd, pid.data(), pid.size(), 0) < 0) return;
}

}  // namespace

Result<SpoolLock> SpoolLock::take(const std::filesystem::path& spool) {
  const std::string path = spool.string() + ".lock";
  const int fd = open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
  if (fd < 0) {
    return Error{fmt::format("spool {}: {}: give spool.path in a folder this agent may write to",
                             path, std::strerror(errno))};
  }
  SpoolLock lock(fd);
  if (flock(fd, LOCK_EX | LOCK_NB) != 0) {
    return Error{fmt::format(
        "spool {} is in use by {}: stop that agent, or give this one a spool.path of its own",
        spool.string(), holder_of(fd))};
  }
  sign(fd);
  return lock;
}

SpoolLock& SpoolLock::operator=(SpoolLock&& other) noexcept {
  std::swap(fd_, other.fd_);
  return *this;
}

SpoolLock::~SpoolLock() {
  if (fd_ >= 0) close(fd_);
}

}  // namespace fixwright::agent
