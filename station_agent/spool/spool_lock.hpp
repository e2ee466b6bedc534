#pragma once
/// One agent a spool: a lock that dies with its process, even by kill -9.

#include <filesystem>

#include "server/base/result.hpp"

namespace fixwright::agent {

class SpoolLock {
 public:
  /// Locks PATH.lock. Fails with one line that names the process that holds it.
  static Result<SpoolLock> take(const std::filesystem::path& spool);

  SpoolLock(SpoolLock&& other) noexcept : fd_(other.fd_) { other.fd_ = -1; }
  SpoolLock& operator=(SpoolLock&& other) noexcept;
  ~SpoolLock();

 private:
  explicit SpoolLock(int fd) : fd_(fd) {}
  int fd_;
};

}  // namespace fixwright::agent
