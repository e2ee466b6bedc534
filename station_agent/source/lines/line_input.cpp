#include "station_agent/source/lines/line_input.hpp"

#include <poll.h>

#include <algorithm>

namespace fixwright::agent {

void LineStream::feed(std::string_view bytes, TimePoint arrival, SourceBatch& batch) {
  for (const RawLine& line : splitter_.feed(bytes)) reader_.read(line, arrival, batch);
}

void LineStream::finish(TimePoint arrival, SourceBatch& batch) {
  for (const RawLine& line : splitter_.finish()) reader_.read(line, arrival, batch);
}

void LineStream::skip(std::string_view bytes) {
  for (const RawLine& line : splitter_.feed(bytes)) reader_.learn_header(line);
}

int poll_ms(Duration patience) {
  const auto ms = std::chrono::ceil<std::chrono::milliseconds>(patience).count();
  return static_cast<int>(std::clamp<std::int64_t>(ms, 0, 60'000));
}

bool wait_readable(int fd, Duration patience) {
  pollfd entry{fd, POLLIN, 0};
  return poll(&entry, 1, poll_ms(patience)) > 0;
}

}  // namespace fixwright::agent
