#include "station_agent/source/lines/tcp_listen_input.hpp"

#include <fmt/core.h>
#include <poll.h>
#include <sys/socket.h>

#include <array>
#include <cerrno>
#include <vector>

namespace fixwright::agent {

Result<std::unique_ptr<TcpListenInput>> TcpListenInput::open(const LinesConfig& config,
                                                             const Clock& clock) {
  auto listener = listen_tcp(config.address);
  if (!listener) return Error{listener.error()};
  return std::unique_ptr<TcpListenInput>(
      new TcpListenInput(std::move(listener).value(), config, clock));
}

void TcpListenInput::read(Duration patience, SourceBatch& batch) {
  std::vector<pollfd> entries{{listener_.get(), POLLIN, 0}};
  for (const Sender& s : senders_) entries.push_back({s.fd.get(), POLLIN, 0});
  if (poll(entries.data(), entries.size(), poll_ms(patience)) <= 0) return;
  std::size_t i = 1;
  for (auto s = senders_.begin(); s != senders_.end(); ++i) {
    const bool gone = entries[i].revents != 0 && !read_sender(*s, batch);
    s = gone ? senders_.erase(s) : std::next(s);
  }
  if (entries[0].revents != 0) accept_one(batch);
}

void TcpListenInput::accept_one(SourceBatch& batch) {
  FileDescriptor fd(accept4(listener_.get(), nullptr, nullptr, SOCK_NONBLOCK | SOCK_CLOEXEC));
  if (fd.get() < 0) return;
  std::string name = "tcp " + peer_name(fd.get());
  if (senders_.size() >= kMaxSenders) {
    batch.complaints.push_back(
        fmt::format("{}: refused: {} senders are connected, the most that "
                    "source.lines takes",
                    name, kMaxSenders));
    return;
  }
  LineStream stream(name, config_);
  senders_.push_back(Sender{std::move(fd), std::move(stream)});
}

bool TcpListenInput::read_sender(Sender& sender, SourceBatch& batch) const {
  std::array<char, 65'536> bytes;  // NOLINT(cppcoreguidelines-pro-type-member-init): recv fills it
  const auto n = recv(sender.fd.get(), bytes.data(), bytes.size(), 0);
  if (n < 0 && (errno == EAGAIN || errno == EINTR)) return true;
  if (n > 0) {
    sender.stream.feed({bytes.data(), static_cast<std::size_t>(n)}, clock_.now(), batch);
    return true;
  }
  sender.stream.finish(clock_.now(), batch);
  return false;
}

}  // namespace fixwright::agent
