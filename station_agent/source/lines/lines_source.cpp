#include "station_agent/source/lines/lines_source.hpp"

#include <unistd.h>

#include "station_agent/source/lines/descriptor_input.hpp"
#include "station_agent/source/lines/file_input.hpp"
#include "station_agent/source/lines/tcp_connect_input.hpp"
#include "station_agent/source/lines/tcp_listen_input.hpp"
#include "station_agent/source/lines/udp_input.hpp"

namespace fixwright::agent {

namespace {

class LinesSource final : public Source {
 public:
  LinesSource(std::unique_ptr<LineInput> input, Duration max_delay, const Clock& clock)
      : input_(std::move(input)), max_delay_(max_delay), clock_(clock) {}

  SourceBatch read(Duration patience) override {
    SourceBatch batch;
    // Asked before reading: what comes during the read may have been taken just before it.
    batch.low_watermark = clock_.now() - max_delay_;
    input_->read(patience, batch);
    return batch;
  }

 private:
  std::unique_ptr<LineInput> input_;
  Duration max_delay_;
  const Clock& clock_;
};

template <typename Input>
Result<std::unique_ptr<LineInput>> widened(Result<std::unique_ptr<Input>> input) {
  if (!input) return Error{input.error()};
  return std::unique_ptr<LineInput>(std::move(input).value());
}

Result<std::unique_ptr<LineInput>> open_input(const LinesConfig& config, std::string_view mark,
                                              const Clock& clock) {
  using Opened = std::unique_ptr<LineInput>;
  switch (config.input) {
    case InputKind::file:
      return Opened(std::make_unique<FileInput>(config, mark, clock));
    case InputKind::tcp_listen:
      return widened(TcpListenInput::open(config, clock));
    case InputKind::tcp_connect:
      return Opened(std::make_unique<TcpConnectInput>(config, clock));
    case InputKind::udp:
      return widened(UdpInput::open(config, clock));
    case InputKind::standard_input:
      break;
  }
  return Opened(std::make_unique<DescriptorInput>(STDIN_FILENO, "stdin", config, clock));
}

}  // namespace

Result<std::unique_ptr<Source>> open_lines_source(const LinesConfig& config, std::string_view mark,
                                                  const Clock& clock) {
  auto input = open_input(config, mark, clock);
  if (!input) return Error{input.error()};
  return std::unique_ptr<Source>(
      std::make_unique<LinesSource>(std::move(input).value(), config.max_delay, clock));
}

}  // namespace fixwright::agent
