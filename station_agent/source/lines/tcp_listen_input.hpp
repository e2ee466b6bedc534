#pragma once
/// Lines from senders that connect to us. Each connection is a stream with its own header.

#include <list>
#include <string>

#include "station_agent/source/lines/line_input.hpp"
#include "station_agent/source/lines/socket.hpp"

namespace fixwright::agent {

class TcpListenInput final : public LineInput {
 public:
  static constexpr std::size_t kMaxSenders = 16;

  static Result<std::unique_ptr<TcpListenInput>> open(const LinesConfig& config,
                                                      const Clock& clock);
  void read(Duration patience, SourceBatch& batch) override;
  [[nodiscard]] int port() const { return local_port(listener_.get()); }

 private:
  struct Sender {
    FileDescriptor fd;
    LineStream stream;
  };
  TcpListenInput(FileDescriptor listener, const LinesConfig& config, const Clock& clock)
      : listener_(std::move(listener)), config_(config), clock_(clock) {}
  void accept_one(SourceBatch& batch);
  /// \return whether the sender is still there.
  bool read_sender(Sender& sender, SourceBatch& batch) const;

  FileDescriptor listener_;
  LinesConfig config_;
  const Clock& clock_;
  std::list<Sender> senders_;
};

}  // namespace fixwright::agent
