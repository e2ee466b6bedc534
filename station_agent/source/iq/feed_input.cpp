#include "station_agent/source/iq/feed_input.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <poll.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <utility>

#include "station_agent/source/lines/line_input.hpp"

namespace fixwright::agent::iq {

namespace {

std::string name_of(const FeedAddress& address) {
  if (address.kind == FeedKind::descriptor) return "stdin";
  return fmt::format("{} {}", address.kind == FeedKind::pipe ? "pipe" : "tcp", address.place);
}

bool is_regular(int fd) {
  struct stat status {};
  return fstat(fd, &status) == 0 && S_ISREG(status.st_mode);
}

/// The sockets' errors name the key of the lines source, and the address, which our name has.
std::string without_key(const std::string& error) {
  const auto colon = error.rfind(": ");
  return colon == std::string::npos ? error : error.substr(colon + 2);
}

}  // namespace

FeedInput::FeedInput(FeedAddress address, const Clock& clock)
    : address_(std::move(address)), clock_(clock), name_(name_of(address_)) {
  if (address_.kind == FeedKind::descriptor) link_ = Link::open;
}

int FeedInput::fd() const {
  return address_.kind == FeedKind::descriptor ? address_.descriptor : fd_.get();
}

FeedInput::Got FeedInput::read(std::span<std::byte> to, Duration patience) {
  if (link_ != Link::open) return open(patience);
  if (!wait_readable(fd(), patience)) return {};
  const auto n = ::read(fd(), to.data(), to.size());
  if (n > 0) {
    wait_ = kFirstWait;
    return {.state = FeedState::bytes, .bytes = static_cast<std::size_t>(n)};
  }
  if (n < 0 && (errno == EAGAIN || errno == EINTR)) return {};
  const std::string why = n == 0 ? "the sender is gone" : std::strerror(errno);
  const bool for_good = address_.kind == FeedKind::descriptor || is_regular(fd());
  return lose(why, for_good ? FeedState::ended : FeedState::lost);
}

FeedInput::Got FeedInput::open(Duration patience) {
  if (link_ == Link::connecting) return await_connection(patience);
  const Duration left = wait_ - (clock_.now() - since_);
  if (told_lost_ && left > Duration{} && left <= wait_) {  // a clock set back must not stop us
    poll(nullptr, 0, poll_ms(std::min(patience, left)));
    return {};
  }
  return begin();
}

FeedInput::Got FeedInput::begin() {
  since_ = clock_.now();
  if (address_.kind == FeedKind::pipe) {
    fd_.reset(::open(address_.place.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC));
    return fd_.get() < 0 ? lose(std::strerror(errno), FeedState::nothing) : opened();
  }
  auto connection = start_connect(address_.place);
  if (!connection) return lose(without_key(connection.error()), FeedState::nothing);
  fd_ = std::move(connection).value();
  link_ = Link::connecting;
  return {};
}

FeedInput::Got FeedInput::await_connection(Duration patience) {
  pollfd entry{fd_.get(), POLLOUT, 0};
  if (poll(&entry, 1, poll_ms(patience)) <= 0) {
    const bool too_long = clock_.now() - since_ > kConnectLimit;
    return too_long ? lose("no answer", FeedState::nothing) : Got{};
  }
  const int error = connect_error(fd_.get());
  return error != 0 ? lose(std::strerror(error), FeedState::nothing) : opened();
}

FeedInput::Got FeedInput::opened() {
  link_ = Link::open;
  Got got;
  if (std::exchange(told_lost_, false)) got.note = fmt::format("{}: there again", name_);
  return got;
}

FeedInput::Got FeedInput::lose(const std::string& why, FeedState state) {
  Got got{.state = state};
  // Said once, then not again until it has been there.
  if (state == FeedState::ended) {
    got.note = fmt::format("{}: {}", name_, why);
  } else if (!std::exchange(told_lost_, true)) {
    got.note = fmt::format("{}: {}: trying again", name_, why);
  } else {
    wait_ = std::min(2 * wait_, kLongestWait);
  }
  if (address_.kind != FeedKind::descriptor) fd_.reset();
  link_ = Link::closed;
  since_ = clock_.now();
  return got;
}

}  // namespace fixwright::agent::iq
