#pragma once
/// Lines from datagrams. The end of a datagram ends its line; one may carry several.

#include <string>

#include "station_agent/source/lines/line_input.hpp"
#include "station_agent/source/lines/socket.hpp"

namespace fixwright::agent {

class UdpInput final : public LineInput {
 public:
  static Result<std::unique_ptr<UdpInput>> open(const LinesConfig& config, const Clock& clock);
  void read(Duration patience, SourceBatch& batch) override;
  [[nodiscard]] int port() const { return local_port(fd_.get()); }

 private:
  UdpInput(FileDescriptor fd, const LinesConfig& config, const Clock& clock)
      : fd_(std::move(fd)), stream_("udp " + config.address, config), clock_(clock) {}
  FileDescriptor fd_;
  LineStream stream_;
  const Clock& clock_;
};

}  // namespace fixwright::agent
