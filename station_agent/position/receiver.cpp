#include "station_agent/position/receiver.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <netdb.h>
#include <poll.h>
#include <sys/socket.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>

#include "station_agent/position/gpsd_report.hpp"

namespace fixwright::agent {

namespace {

constexpr std::size_t kMostBytes = 4096;

speed_t speed_of(int baud) {
  switch (baud) {
    case 9600:
      return B9600;
    case 19200:
      return B19200;
    case 38400:
      return B38400;
    case 57600:
      return B57600;
    case 115200:
      return B115200;
    default:
      return B4800;  // the standard's own
  }
}

void set_line(int fd, int baud) {
  termios line{};
  if (tcgetattr(fd, &line) != 0) return;
  cfmakeraw(&line);
  cfsetispeed(&line, speed_of(baud));
  cfsetospeed(&line, speed_of(baud));
  line.c_cflag |= CLOCAL | CREAD;
  tcsetattr(fd, TCSANOW, &line);
}

}  // namespace

Receiver::Receiver(const NavConfig& config) : gpsd_(config.feed == NavFeed::gpsd) {
  if (config.feed == NavFeed::serial) {
    name_ = config.device;
    open_device(config);
  } else {
    name_ = (gpsd_ ? "gpsd " : "tcp ") + config.address;
    connect(config);
  }
}

Receiver::~Receiver() {
  if (fd_ >= 0) close(fd_);
}

void Receiver::fail(const std::string& why) { problem_ = fmt::format("{}: {}", name_, why); }

void Receiver::open_device(const NavConfig& config) {
  fd_ = open(config.device.c_str(), O_RDONLY | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  if (fd_ < 0) return fail(std::strerror(errno));
  if (isatty(fd_) != 0) set_line(fd_, config.baud);
}

void Receiver::connect(const NavConfig& config) {
  const std::size_t colon = config.address.rfind(':');
  std::string host = config.address.substr(0, colon);
  const std::string port = colon == std::string::npos ? "" : config.address.substr(colon + 1);
  if (host.size() > 1 && host.front() == '[') host = host.substr(1, host.size() - 2);
  addrinfo hints{};
  hints.ai_socktype = SOCK_STREAM;
  addrinfo* list = nullptr;
  const int code = getaddrinfo(host.c_str(), port.c_str(), &hints, &list);
  if (code != 0) return fail(gai_strerror(code));
  int why = 0;
  for (const addrinfo* a = list; a != nullptr && !connecting_; a = a->ai_next) {
    fd_ = socket(a->ai_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, a->ai_protocol);
    connecting_ =
        fd_ >= 0 && (::connect(fd_, a->ai_addr, a->ai_addrlen) == 0 || errno == EINPROGRESS);
    why = errno;
    if (connecting_ || fd_ < 0) continue;
    close(fd_);
    fd_ = -1;
  }
  freeaddrinfo(list);
  if (!connecting_) fail(std::strerror(why));
}

/// \return whether the connection stands and has been greeted.
bool Receiver::finish_connecting() {
  int error = 0;
  socklen_t size = sizeof error;
  getsockopt(fd_, SOL_SOCKET, SO_ERROR, &error, &size);
  connecting_ = false;
  if (error != 0) {
    fail(std::strerror(error));
    return false;
  }
  if (!gpsd_) return true;
  const auto sent = send(fd_, kGpsdWatch.data(), kGpsdWatch.size(), MSG_NOSIGNAL);
  if (sent == static_cast<ssize_t>(kGpsdWatch.size())) return true;
  fail("took no request");
  return false;
}

std::vector<std::string> Receiver::read(Duration patience) {
  pollfd entry{fd_, static_cast<short>(connecting_ ? POLLOUT : POLLIN), 0};
  const auto wait = std::chrono::ceil<std::chrono::milliseconds>(patience);
  if (poll(&entry, 1, static_cast<int>(wait.count())) <= 0) return {};
  if (connecting_ && !finish_connecting()) return {};
  std::array<char, 4096> bytes;  // NOLINT(cppcoreguidelines-pro-type-member-init): read fills it
  const auto n = ::read(fd_, bytes.data(), bytes.size());
  if (n < 0 && (errno == EAGAIN || errno == EINTR)) return {};
  if (n <= 0) {
    fail(n == 0 ? "it ended" : std::strerror(errno));
    return {};
  }
  held_.append(bytes.data(), static_cast<std::size_t>(n));
  std::vector<std::string> lines;
  for (std::size_t end = held_.find('\n'); end != std::string::npos; end = held_.find('\n')) {
    std::string line = held_.substr(0, end);
    held_.erase(0, end + 1);
    if (!line.empty() && line.back() == '\r') line.pop_back();
    lines.push_back(std::move(line));
  }
  if (held_.size() > kMostBytes) held_.clear();
  return lines;
}

}  // namespace fixwright::agent
