#include "station_agent/source/lines/tcp_connect_input.hpp"

#include <fmt/core.h>
#include <poll.h>
#include <sys/socket.h>

#include <array>
#include <cerrno>
#include <cstring>

namespace fixwright::agent {

namespace {
constexpr Duration kRetry = std::chrono::seconds{1};
}

void TcpConnectInput::read(Duration patience, SourceBatch& batch) {
  switch (state_) {
    case State::idle:
      return begin(patience, batch);
    case State::connecting:
      return await_connection(patience, batch);
    case State::connected:
      return read_some(patience, batch);
  }
}

void TcpConnectInput::begin(Duration patience, SourceBatch& batch) {
  const TimePoint now = clock_.now();
  if (now < retry_at_ && retry_at_ - now <= kRetry) {  // a clock set back must not stop us
    poll(nullptr, 0, poll_ms(std::min(patience, retry_at_ - now)));
    return;
  }
  auto fd = start_connect(config_.address);
  if (!fd) return lose(fd.error(), batch);
  fd_ = std::move(fd).value();
  state_ = State::connecting;
}

void TcpConnectInput::await_connection(Duration patience, SourceBatch& batch) {
  pollfd entry{fd_.get(), POLLOUT, 0};
  if (poll(&entry, 1, poll_ms(patience)) <= 0) return;
  if (const int error = connect_error(fd_.get()); error != 0) {
    return lose(std::strerror(error), batch);
  }
  state_ = State::connected;
  stream_.emplace("tcp " + config_.address, config_);
  if (told_lost_) batch.complaints.push_back(fmt::format("tcp {}: connected", config_.address));
  told_lost_ = false;
}

void TcpConnectInput::read_some(Duration patience, SourceBatch& batch) {
  if (!wait_readable(fd_.get(), patience)) return;
  std::array<char, 65'536> bytes;  // NOLINT(cppcoreguidelines-pro-type-member-init): recv fills it
  const auto n = recv(fd_.get(), bytes.data(), bytes.size(), 0);
  if (n < 0 && (errno == EAGAIN || errno == EINTR)) return;
  if (n > 0) return stream_->feed({bytes.data(), static_cast<std::size_t>(n)}, clock_.now(), batch);
  const std::string why = n == 0 ? "the sender closed the connection" : std::strerror(errno);
  stream_->finish(clock_.now(), batch);
  lose(why, batch);
}

void TcpConnectInput::lose(const std::string& why, SourceBatch& batch) {
  if (!told_lost_) {
    batch.complaints.push_back(
        fmt::format("tcp {}: {}: trying again every second", config_.address, why));
  }
  told_lost_ = true;
  state_ = State::idle;
  fd_.reset();
  retry_at_ = clock_.now() + kRetry;
}

}  // namespace fixwright::agent
