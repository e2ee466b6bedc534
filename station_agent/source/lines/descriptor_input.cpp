#include "station_agent/source/lines/descriptor_input.hpp"

#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>

namespace fixwright::agent {

void DescriptorInput::read(Duration patience, SourceBatch& batch) {
  if (!wait_readable(fd_, patience)) return;
  std::array<char, 65'536> bytes;  // NOLINT(cppcoreguidelines-pro-type-member-init): read fills it
  const auto n = ::read(fd_, bytes.data(), bytes.size());
  if (n < 0 && (errno == EINTR || errno == EAGAIN)) return;
  if (n > 0) return stream_.feed({bytes.data(), static_cast<std::size_t>(n)}, clock_.now(), batch);
  if (n < 0) batch.complaints.emplace_back(std::string("source: read: ") + std::strerror(errno));
  stream_.finish(clock_.now(), batch);
  batch.ended = true;
}

}  // namespace fixwright::agent
