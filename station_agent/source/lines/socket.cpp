#include "station_agent/source/lines/socket.hpp"

#include <arpa/inet.h>
#include <fmt/core.h>
#include <netdb.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <charconv>
#include <cstring>
#include <memory>

namespace fixwright::agent {

namespace {

struct FreeList {
  void operator()(addrinfo* list) const { freeaddrinfo(list); }
};
using AddressList = std::unique_ptr<addrinfo, FreeList>;

Result<AddressList> resolve(const std::string& text, int type, int flags) {
  const auto address = parse_address(text);
  if (!address) return Error{address.error()};
  addrinfo hints{};
  hints.ai_socktype = type;
  hints.ai_flags = flags;
  addrinfo* found = nullptr;
  const int code = getaddrinfo(address->host.empty() ? nullptr : address->host.c_str(),
                               address->port.c_str(), &hints, &found);
  if (code != 0) return Error{fmt::format("source.lines.address {}: {}", text, gai_strerror(code))};
  return AddressList(found);
}

FileDescriptor make_socket(const addrinfo& a) {
  return FileDescriptor(
      socket(a.ai_family, a.ai_socktype | SOCK_NONBLOCK | SOCK_CLOEXEC, a.ai_protocol));
}

/// A socket bound to the first of the addresses that lets itself be bound.
Result<FileDescriptor> bind_first(const std::string& text, int type) {
  const auto list = resolve(text, type, AI_PASSIVE);
  if (!list) return Error{list.error()};
  int why = 0;
  for (const addrinfo* a = list->get(); a != nullptr; a = a->ai_next) {
    FileDescriptor fd = make_socket(*a);
    const int on = 1;
    // UDP would let a second agent share the port and take half of the datagrams.
    if (type == SOCK_STREAM) setsockopt(fd.get(), SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    if (fd.get() >= 0 && bind(fd.get(), a->ai_addr, a->ai_addrlen) == 0) return fd;
    why = errno;
  }
  return Error{fmt::format("source.lines.address {}: {}: choose another port or address", text,
                           std::strerror(why))};
}

}  // namespace

void FileDescriptor::reset(int fd) {
  if (fd_ >= 0) close(fd_);
  fd_ = fd;
}

Result<Address> parse_address(const std::string& text) {
  const std::size_t colon = text.rfind(':');
  Address address;
  if (colon != std::string::npos) {
    address = {text.substr(0, colon), text.substr(colon + 1)};
    if (address.host.size() > 1 && address.host.front() == '[' && address.host.back() == ']') {
      address.host = address.host.substr(1, address.host.size() - 2);
    }
  }
  int port = -1;
  const char* end = address.port.data() + address.port.size();
  const auto parsed = std::from_chars(address.port.data(), end, port);
  if (parsed.ptr == end && port >= 0 && port <= 65535) return address;
  return Error{fmt::format("\"{}\": must be host:port, with a port of 0 to 65535", text)};
}

Result<FileDescriptor> listen_tcp(const std::string& address) {
  auto fd = bind_first(address, SOCK_STREAM);
  if (fd && listen(fd->get(), 16) != 0) {
    return Error{fmt::format("source.lines.address {}: {}", address, std::strerror(errno))};
  }
  return fd;
}

Result<FileDescriptor> bind_udp(const std::string& address) {
  return bind_first(address, SOCK_DGRAM);
}

Result<FileDescriptor> start_connect(const std::string& address) {
  const auto list = resolve(address, SOCK_STREAM, 0);
  if (!list) return Error{list.error()};
  int why = 0;
  for (const addrinfo* a = list->get(); a != nullptr; a = a->ai_next) {
    FileDescriptor fd = make_socket(*a);
    const bool begun = fd.get() >= 0 &&
                       (connect(fd.get(), a->ai_addr, a->ai_addrlen) == 0 || errno == EINPROGRESS);
    if (begun) return fd;
    why = errno;
  }
  return Error{fmt::format("source.lines.address {}: {}", address, std::strerror(why))};
}

int connect_error(int fd) {
  int error = 0;
  socklen_t size = sizeof error;
  return getsockopt(fd, SOL_SOCKET, SO_ERROR, &error, &size) == 0 ? error : errno;
}

int local_port(int fd) {
  sockaddr_storage address{};
  socklen_t size = sizeof address;
  getsockname(fd, reinterpret_cast<sockaddr*>(&address), &size);
  std::array<char, NI_MAXSERV> port{};
  getnameinfo(reinterpret_cast<sockaddr*>(&address), size, nullptr, 0, port.data(), port.size(),
              NI_NUMERICSERV);
  return std::atoi(port.data());
}

std::string peer_name(int fd) {
  sockaddr_storage address{};
  socklen_t size = sizeof address;
  if (getpeername(fd, reinterpret_cast<sockaddr*>(&address), &size) != 0) return "unknown sender";
  std::array<char, NI_MAXHOST> host{};
  std::array<char, NI_MAXSERV> port{};
  getnameinfo(reinterpret_cast<sockaddr*>(&address), size, host.data(), host.size(), port.data(),
              port.size(), NI_NUMERICHOST | NI_NUMERICSERV);
  return fmt::format("{}:{}", host.data(), port.data());
}

}  // namespace fixwright::agent
