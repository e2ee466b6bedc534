#pragma once
/// The transports that bring lines, and what they share.

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>

#include "server/base/clock.hpp"
#include "server/base/result.hpp"
#include "station_agent/source/lines/line_mapping.hpp"
#include "station_agent/source/lines/line_reader.hpp"
#include "station_agent/source/lines/line_splitter.hpp"
#include "station_agent/source/source.hpp"

namespace fixwright::agent {

enum class InputKind { standard_input, file, tcp_listen, tcp_connect, udp };

struct LinesConfig {
  InputKind input = InputKind::standard_input;
  std::string path;        // of a file
  std::string address;     // host:port or [host]:port
  bool follow = true;      // of a file: wait for more at its end
  bool from_start = true;  // of a file never read before; else only what is added from now on
  std::size_t max_line_bytes = 65'536;
  Duration max_delay = std::chrono::seconds{2};  // from a bearing's start to its line, >= 0
  LineMapping mapping;
};

/// One stream of bytes, from its beginning to its end: lines, header and line numbers.
class LineStream {
 public:
  LineStream(const std::string& name, const LinesConfig& config)
      : splitter_(config.max_line_bytes), reader_(name, config.mapping) {}

  void feed(std::string_view bytes, TimePoint arrival, SourceBatch& batch);
  void finish(TimePoint arrival, SourceBatch& batch);
  /// Passes over bytes read in an earlier life: counts lines and remembers the header.
  void skip(std::string_view bytes);
  [[nodiscard]] std::uint64_t pending_bytes() const { return splitter_.pending_bytes(); }

 private:
  LineSplitter splitter_;
  LineReader reader_;
};

class LineInput {
 public:
  LineInput() = default;
  LineInput(const LineInput&) = delete;
  LineInput& operator=(const LineInput&) = delete;
  virtual ~LineInput() = default;
  /// Waits at most `patience`; adds bearings, complaints, mark and end to the batch.
  virtual void read(Duration patience, SourceBatch& batch) = 0;
};

/// poll() of one descriptor. \return whether it has something to read or has ended.
bool wait_readable(int fd, Duration patience);
/// For poll(): whole milliseconds, rounded up, 0 and up.
int poll_ms(Duration patience);

}  // namespace fixwright::agent
