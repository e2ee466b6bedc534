#include "station_agent/source/lines/udp_input.hpp"

#include <sys/socket.h>

#include <vector>

namespace fixwright::agent {

namespace {
constexpr int kMaxDatagramsARead = 1000;  // so that a flood can't hold the agent
}

Result<std::unique_ptr<UdpInput>> UdpInput::open(const LinesConfig& config, const Clock& clock) {
  auto fd = bind_udp(config.address);
  if (!fd) return Error{fd.error()};
  return std::unique_ptr<UdpInput>(new UdpInput(std::move(fd).value(), config, clock));
}

void UdpInput::read(Duration patience, SourceBatch& batch) {
  if (!wait_readable(fd_.get(), patience)) return;
  std::vector<char> bytes(65'536);  // no datagram is longer
  for (int i = 0; i < kMaxDatagramsARead; ++i) {
    const auto n = recv(fd_.get(), bytes.data(), bytes.size(), 0);
    if (n < 0) return;
    const std::string_view text(bytes.data(), static_cast<std::size_t>(n));
    stream_.feed(text, clock_.now(), batch);
    if (!text.empty() && text.back() != '\n') stream_.feed("\n", clock_.now(), batch);
  }
}

}  // namespace fixwright::agent
