#pragma once
/// Lines from a sender that we connect to, again and again until it answers.

#include <optional>
#include <string>

#include "station_agent/source/lines/line_input.hpp"
#include "station_agent/source/lines/socket.hpp"

namespace fixwright::agent {

class TcpConnectInput final : public LineInput {
 public:
  TcpConnectInput(const LinesConfig& config, const Clock& clock) : config_(config), clock_(clock) {}
  void read(Duration patience, SourceBatch& batch) override;

 private:
  enum class State { idle, connecting, connected };
  void begin(Duration patience, SourceBatch& batch);
  void await_connection(Duration patience, SourceBatch& batch);
  void read_some(Duration patience, SourceBatch& batch);
  /// Said once a state: that it failed, then that it works.
  void lose(const std::string& why, SourceBatch& batch);

  LinesConfig config_;
  const Clock& clock_;
  State state_ = State::idle;
  FileDescriptor fd_;
  std::optional<LineStream> stream_;
  bool told_lost_ = false;
  TimePoint retry_at_;
};

}  // namespace fixwright::agent
