#pragma once
/// Lines from a file that another program writes. Goes on where it stopped after a restart,
/// with the file that takes the old one's place (rotation) and from the beginning of one that
/// was cut (truncation).

#include <sys/stat.h>

#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "station_agent/source/lines/line_input.hpp"
#include "station_agent/source/lines/socket.hpp"

namespace fixwright::agent {

/// Where a file was read to: up to the end of the last whole line.
struct FileMark {
  std::uint64_t inode = 0;
  std::uint64_t offset = 0;
};
std::string to_string(const FileMark& mark);
/// Nothing for a text that to_string() did not make.
std::optional<FileMark> parse_file_mark(std::string_view text);

class FileInput final : public LineInput {
 public:
  /// \param mark  of an earlier life, or empty.
  FileInput(const LinesConfig& config, std::string_view mark, const Clock& clock);
  void read(Duration patience, SourceBatch& batch) override;

 private:
  bool open_file(SourceBatch& batch);
  void skip_to(std::uint64_t offset);
  /// \return whether there were bytes.
  bool read_some(SourceBatch& batch);
  /// At the end of what there is: another file at the path, a cut file, or simply the end.
  void look_for_change(SourceBatch& batch);
  void leave_file(SourceBatch& batch);

  LinesConfig config_;
  const Clock& clock_;
  std::optional<FileMark> resume_;
  bool first_file_ = true;
  bool told_missing_ = false;
  FileDescriptor fd_;
  std::uint64_t inode_ = 0;
  std::uint64_t offset_ = 0;  // of the next byte to read
  std::unique_ptr<LineStream> stream_;
};

}  // namespace fixwright::agent
