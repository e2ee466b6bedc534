#include "server/rpc/listen_address.hpp"

#include <fmt/core.h>
#include <netdb.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cstring>
#include <memory>
#include <string_view>

namespace fixwright::rpc {

namespace {

struct HostPort {
  std::string host;
  std::string port;
};

bool is_port(std::string_view text) {
  int port = -1;
  const auto [stop, error] = std::from_chars(text.data(), text.data() + text.size(), port);
  return error == std::errc{} && stop == text.data() + text.size() && port >= 0 && port <= 65535;
}

std::optional<HostPort> split(const std::string& address) {
  const auto colon = address.rfind(':');
  if (colon == std::string::npos || colon == 0) return std::nullopt;
  HostPort parts{address.substr(0, colon), address.substr(colon + 1)};
  const bool bracketed = parts.host.front() == '[' && parts.host.back() == ']';
  if (bracketed) parts.host = parts.host.substr(1, parts.host.size() - 2);
  const bool bare_v6 = !bracketed && parts.host.find(':') != std::string::npos;
  if (bare_v6 || parts.host.empty() || !is_port(parts.port)) return std::nullopt;
  return parts;
}

/// 0, or the errno of the step that failed.
int try_bind(const addrinfo& where) {
  const int socket_fd = ::socket(where.ai_family, where.ai_socktype | SOCK_CLOEXEC, 0);
  if (socket_fd < 0) return errno;
  const int on = 1;
  ::setsockopt(socket_fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);  // as gRPC does
  const bool bound =
      ::bind(socket_fd, where.ai_addr, where.ai_addrlen) == 0 && ::listen(socket_fd, 1) == 0;
  const int error = bound ? 0 : errno;
  ::close(socket_fd);
  return error;
}

std::string advice(int error) {
  if (error == EADDRINUSE) {
    return "address in use: another program listens there, perhaps this server itself; stop it "
           "or choose another port";
  }
  if (error == EACCES) return "not allowed: ports below 1024 need rights; choose a higher one";
  if (error == EADDRNOTAVAIL) return "no such address on this machine; choose one that it has";
  return std::strerror(error);
}

}  // namespace

std::optional<std::string> listen_problem(const std::string& address) {
  const auto line = [&address](std::string_view why) {
    return fmt::format("rpc.listen = {}: {}. Nothing was started.", address, why);
  };
  const auto parts = split(address);
  if (!parts) return line("must be host:port or [v6 address]:port, port 0 to 65535");

  addrinfo hints{};
  hints.ai_socktype = SOCK_STREAM;
  hints.ai_flags = AI_PASSIVE;
  addrinfo* found = nullptr;
  const int error = ::getaddrinfo(parts->host.c_str(), parts->port.c_str(), &hints, &found);
  const std::unique_ptr<addrinfo, void (*)(addrinfo*)> owner(found, ::freeaddrinfo);
  if (error != 0) return line(fmt::format("{}; mend the host name", ::gai_strerror(error)));
  if (const int bind_error = try_bind(*found); bind_error != 0) return line(advice(bind_error));
  return std::nullopt;
}

}  // namespace fixwright::rpc
