#include "station_agent/source/lines/file_input.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <poll.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <sstream>
#include <vector>

namespace fixwright::agent {

namespace {

constexpr std::size_t kChunkBytes = 262'144;

std::uint64_t size_of(const struct stat& s) { return static_cast<std::uint64_t>(s.st_size); }

}  // namespace

std::string to_string(const FileMark& mark) {
  return fmt::format("file {} {}", mark.inode, mark.offset);
}

std::optional<FileMark> parse_file_mark(std::string_view text) {
  std::istringstream in{std::string(text)};
  std::string word;
  FileMark mark;
  if (!(in >> word >> mark.inode >> mark.offset) || word != "file") return std::nullopt;
  return mark;
}

FileInput::FileInput(const LinesConfig& config, std::string_view mark, const Clock& clock)
    : config_(config), clock_(clock), resume_(parse_file_mark(mark)) {}

void FileInput::read(Duration patience, SourceBatch& batch) {
  if (fd_.get() < 0 && !open_file(batch)) {
    poll(nullptr, 0, poll_ms(patience));
    return;
  }
  if (!read_some(batch)) {
    look_for_change(batch);
    if (!batch.ended && fd_.get() >= 0) poll(nullptr, 0, poll_ms(patience));
  }
  if (fd_.get() >= 0) batch.mark = to_string(FileMark{inode_, offset_ - stream_->pending_bytes()});
}

bool FileInput::open_file(SourceBatch& batch) {
  fd_.reset(open(config_.path.c_str(), O_RDONLY | O_CLOEXEC));
  struct stat s {};
  if (fd_.get() < 0 || fstat(fd_.get(), &s) != 0) {
    if (!told_missing_) {
      batch.complaints.push_back(fmt::format("source.lines.path {}: {}: waiting for it",
                                             config_.path, std::strerror(errno)));
    }
    told_missing_ = true;
    return false;
  }
  told_missing_ = false;
  inode_ = s.st_ino;
  offset_ = 0;
  stream_ = std::make_unique<LineStream>(config_.path, config_);
  if (resume_ && resume_->inode == inode_ && resume_->offset <= size_of(s)) {
    skip_to(resume_->offset);
  } else if (!resume_ && first_file_ && !config_.from_start) {
    skip_to(size_of(s));
  }
  resume_.reset();
  first_file_ = false;
  return true;
}

void FileInput::skip_to(std::uint64_t offset) {
  std::vector<char> bytes(kChunkBytes);
  while (offset_ < offset) {
    const auto want = std::min<std::uint64_t>(bytes.size(), offset - offset_);
    const auto n = ::read(fd_.get(), bytes.data(), want);
    if (n <= 0) return;
    offset_ += static_cast<std::uint64_t>(n);
    stream_->skip({bytes.data(), static_cast<std::size_t>(n)});
  }
}

bool FileInput::read_some(SourceBatch& batch) {
  std::vector<char> bytes(kChunkBytes);
  const auto n = ::read(fd_.get(), bytes.data(), bytes.size());
  if (n <= 0) return false;
  offset_ += static_cast<std::uint64_t>(n);
  stream_->feed({bytes.data(), static_cast<std::size_t>(n)}, clock_.now(), batch);
  return true;
}

void FileInput::look_for_change(SourceBatch& batch) {
  if (!config_.follow) {
    stream_->finish(clock_.now(), batch);
    batch.ended = true;
    return;
  }
  struct stat s {};
  if (fstat(fd_.get(), &s) == 0 && size_of(s) < offset_) {
    batch.complaints.push_back(
        fmt::format("{}: was cut from {} to {} bytes: reading it from its beginning", config_.path,
                    offset_, size_of(s)));
    return leave_file(batch);
  }
  // While the new file is empty its writer may still hold the old one open.
  if (stat(config_.path.c_str(), &s) == 0 && s.st_ino != inode_ && size_of(s) > 0) {
    if (!read_some(batch)) leave_file(batch);  // the old file's last lines come first
  }
}

void FileInput::leave_file(SourceBatch& batch) {
  stream_->finish(clock_.now(), batch);
  fd_.reset();
}

}  // namespace fixwright::agent
