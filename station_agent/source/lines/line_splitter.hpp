#pragma once
/// From a stream of bytes to lines, with bounded memory whatever comes.

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace fixwright::agent {

enum class LineState {
  whole,
  too_long,      // text holds its beginning only
  unterminated,  // the stream ended in it: perhaps half a line
};

struct RawLine {
  std::uint64_t number = 0;  // 1 and up, within its stream
  std::string text;          // without LF, CR LF, and a byte-order mark at the beginning
  LineState state = LineState::whole;
};

class LineSplitter {
 public:
  explicit LineSplitter(std::size_t max_bytes) : max_bytes_(max_bytes) {}

  /// The lines that `bytes` complete.
  std::vector<RawLine> feed(std::string_view bytes);
  /// The stream ended: what is left of it, at most one line.
  std::vector<RawLine> finish();
  /// Bytes held that no line has been made of yet, those of a line too long included.
  [[nodiscard]] std::uint64_t pending_bytes() const { return pending_bytes_; }

 private:
  void hold(std::string_view bytes);
  RawLine take(LineState state);

  std::size_t max_bytes_;
  std::string held_;
  std::uint64_t pending_bytes_ = 0;
  std::uint64_t number_ = 0;
};

}  // namespace fixwright::agent
