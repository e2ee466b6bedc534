#pragma once
/// The little of sockets that the inputs need. Fails with one line that names the address.

#include <string>
#include <utility>

#include "server/base/result.hpp"

namespace fixwright::agent {

/// An open file or socket; closes itself.
class FileDescriptor {
 public:
  explicit FileDescriptor(int fd = -1) : fd_(fd) {}
  FileDescriptor(FileDescriptor&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  FileDescriptor& operator=(FileDescriptor&& other) noexcept {
    std::swap(fd_, other.fd_);
    return *this;
  }
  ~FileDescriptor() { reset(); }
  void reset(int fd = -1);
  [[nodiscard]] int get() const { return fd_; }

 private:
  int fd_;
};

struct Address {
  std::string host;
  std::string port;
};

/// "host:port" or "[host]:port", a port of 0 to 65535.
Result<Address> parse_address(const std::string& text);

/// Sockets that do not block. Port 0 takes a free one: local_port() says which.
Result<FileDescriptor> listen_tcp(const std::string& address);
Result<FileDescriptor> bind_udp(const std::string& address);
/// Under way when it returns: poll for writing, then connect_error().
Result<FileDescriptor> start_connect(const std::string& address);
/// 0 when the connection stands, else an errno.
int connect_error(int fd);
int local_port(int fd);
/// "127.0.0.1:40112": who is at the other end.
std::string peer_name(int fd);

}  // namespace fixwright::agent
