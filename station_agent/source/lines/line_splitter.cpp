#include "station_agent/source/lines/line_splitter.hpp"

#include <algorithm>

namespace fixwright::agent {

namespace {
constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
}

std::vector<RawLine> LineSplitter::feed(std::string_view bytes) {
  std::vector<RawLine> lines;
  std::size_t end = 0;
  while ((end = bytes.find('\n')) != std::string_view::npos) {
    hold(bytes.substr(0, end));
    bytes.remove_prefix(end + 1);
    lines.push_back(take(LineState::whole));
  }
  hold(bytes);
  return lines;
}

std::vector<RawLine> LineSplitter::finish() {
  if (pending_bytes_ == 0) return {};
  return {take(LineState::unterminated)};
}

void LineSplitter::hold(std::string_view bytes) {
  pending_bytes_ += bytes.size();
  const std::size_t room = max_bytes_ - std::min(held_.size(), max_bytes_);
  held_.append(bytes.substr(0, room));
}

RawLine LineSplitter::take(LineState state) {
  RawLine line{++number_, std::move(held_),
               pending_bytes_ > max_bytes_ ? LineState::too_long : state};
  held_.clear();
  pending_bytes_ = 0;
  if (line.number == 1 && line.text.starts_with(kByteOrderMark)) line.text.erase(0, 3);
  if (!line.text.empty() && line.text.back() == '\r') line.text.pop_back();
  return line;
}

}  // namespace fixwright::agent
