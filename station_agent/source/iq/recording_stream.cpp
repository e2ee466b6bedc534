#include "station_agent/source/iq/recording_stream.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <fmt/ranges.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <bit>
#include <cerrno>
#include <cstring>

#include "station_agent/source/iq/decoder.hpp"
#include "station_agent/source/iq/sigmf_metadata.hpp"
#include "station_agent/source/iq/type_check.hpp"
#include "station_agent/source/lines/socket.hpp"

namespace fixwright::agent::iq {

namespace {

/// Reads until `bytes` are full or the file ends. \return how many were read.
std::size_t read_at(int fd, std::uint64_t offset, std::span<std::byte> bytes) {
  std::size_t done = 0;
  while (done < bytes.size()) {
    const auto n =
        pread(fd, bytes.data() + done, bytes.size() - done, static_cast<off_t>(offset + done));
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) break;
    done += static_cast<std::size_t>(n);
  }
  return done;
}

struct DataFile {
  FileDescriptor fd;
  std::uint64_t bytes = 0;
  std::string name;
};

Result<DataFile> open_data(const std::filesystem::path& path) {
  DataFile file{FileDescriptor(open(path.c_str(), O_RDONLY | O_CLOEXEC)), 0, path.string()};
  struct stat status {};
  if (file.fd.get() < 0 || fstat(file.fd.get(), &status) != 0) {
    return Error{
        fmt::format("{}: the data file can't be opened: {}", path.string(), std::strerror(errno))};
  }
  if (!S_ISREG(status.st_mode)) {
    return Error{fmt::format("{}: the data file must be a regular file", path.string())};
  }
  file.bytes = static_cast<std::uint64_t>(status.st_size);
  return file;
}

class RecordingStream final : public SampleStream {
 public:
  RecordingStream(const SigmfMetadata& m, RecordingPlan plan, DataFile file,
                  const RecordingConfig& config, const Clock& clock)
      : rate_hz_(m.rate_hz),
        plan_(std::move(plan)),
        file_(std::move(file)),
        decoder_(m.type, m.elements),
        pacer_(config.pace, clock) {
    format_.rate_hz = rate_hz_ / static_cast<double>(decoder_.decimation());
    format_.elements = m.elements;
    block_frames_ =
        config.block_frames > 0 ? config.block_frames : default_block_frames(format_.rate_hz);
    bytes_.resize(block_frames_ * decoder_.decimation() * decoder_.frame_bytes());
    enter(0);
  }

  [[nodiscard]] const StreamFormat& format() const override { return format_; }

  ReadOutcome read(SampleBlock& block, Duration patience) override {
    ReadOutcome outcome;
    if (at_ == plan_.stretches.size()) return at_end();
    const RecordingStretch& stretch = plan_.stretches[at_];
    const std::uint64_t n =
        std::min<std::uint64_t>(block_frames_ * decoder_.decimation(), stretch.frames - done_);
    const TimePoint end = stretch.start + time_of_frames(done_ + n, rate_hz_);
    if (!pacer_.wait_for(end, plan_.stretches.front().start, patience)) return outcome;
    if (!fill(block, stretch, n)) return cut_short();
    outcome.state = ReadState::samples;
    outcome.format_changed = std::exchange(format_changed_, false);
    outcome.stuck = stuck_elements(block);
    done_ += n;
    if (done_ == stretch.frames) enter(at_ + 1);
    return outcome;
  }

 private:
  void enter(std::size_t stretch) {
    at_ = stretch;
    done_ = 0;
    if (at_ == plan_.stretches.size()) return;
    const RecordingStretch& s = plan_.stretches[at_];
    const double centre_hz = s.centre_hz + decoder_.centre_shift() * rate_hz_;
    format_changed_ = at_ > 0 && (centre_hz != format_.centre_hz || differs(s.array));
    format_.centre_hz = centre_hz;
    format_.array = s.array;
    if (s.lost_before > 0 || format_changed_) decoder_.reset();
  }

  [[nodiscard]] bool differs(const std::optional<StreamArray>& array) const {
    if (array.has_value() != format_.array.has_value()) return true;
    if (!array) return false;
    const auto& a = array->geometry;
    const auto& b = format_.array->geometry;
    const auto same_place = [](const auto& p, const auto& q) {
      return p.x_m == q.x_m && p.y_m == q.y_m && p.z_m == q.z_m;
    };
    return array->orientation_known != format_.array->orientation_known ||
           a.orientation_deg != b.orientation_deg ||
           !std::equal(a.elements.begin(), a.elements.end(), b.elements.begin(), b.elements.end(),
                       same_place);
  }

  bool fill(SampleBlock& block, const RecordingStretch& stretch, std::uint64_t frames) {
    const std::span<std::byte> bytes(bytes_.data(), frames * decoder_.frame_bytes());
    const std::uint64_t offset = stretch.file_offset + done_ * decoder_.frame_bytes();
    if (read_at(file_.fd.get(), offset, bytes) < bytes.size()) return false;
    decoder_.decode(bytes, block);
    block.start = stretch.start + time_of_frames(done_, rate_hz_) -
                  time_of_frames(decoder_.delay_frames(), rate_hz_) + pacer_.shift();
    block.lost_frames_before = done_ == 0 ? in_our_frames(stretch.lost_before) : 0;
    return true;
  }

  [[nodiscard]] std::uint64_t in_our_frames(std::uint64_t frames) const {
    return (frames + decoder_.decimation() - 1) / decoder_.decimation();
  }

  ReadOutcome cut_short() {
    at_ = plan_.stretches.size();
    plan_.flaw = fmt::format("{}: became shorter while it was read", file_.name);
    return at_end();
  }

  ReadOutcome at_end() {
    if (plan_.flaw.empty()) return {.state = ReadState::ended};
    return {.state = ReadState::failed, .note = plan_.flaw};
  }

  double rate_hz_;
  RecordingPlan plan_;
  DataFile file_;
  Decoder decoder_;
  Pacer pacer_;
  StreamFormat format_;
  std::size_t block_frames_ = 0;
  std::vector<std::byte> bytes_;
  std::size_t at_ = 0;      // stretch
  std::uint64_t done_ = 0;  // frames of it
  bool format_changed_ = false;
};

/// Whether the first samples look like their type.
std::string check_type(const DataFile& file, const RecordingPlan& plan, const SampleType& type) {
  const RecordingStretch& first = plan.stretches.front();
  std::vector<std::byte> bytes(kTypeCheckBytes);
  bytes.resize(read_at(file.fd.get(), first.file_offset, bytes));
  const std::string problem = type_problem(bytes, type);
  if (problem.empty()) return {};
  return fmt::format("{}: core:datatype = {} does not fit the samples: {}", file.name,
                     to_string(type), problem);
}

}  // namespace

std::size_t default_block_frames(double rate_hz) {
  const auto frames = static_cast<std::uint64_t>(std::clamp(rate_hz * 0.01, 256.0, 65'536.0));
  const std::uint64_t below = std::bit_floor(frames);
  return frames - below > below / 2 ? 2 * below : below;
}

namespace {

std::string one_a_line(const std::vector<std::string>& problems) {
  std::string text;
  for (const std::string& p : problems) text += (text.empty() ? "" : "\n") + p;
  return text;
}

}  // namespace

Result<std::unique_ptr<SampleStream>> open_recording(const RecordingConfig& config,
                                                     const Clock& clock) {
  const auto meta_path = sigmf_meta_path(config.path);
  const SigmfParse parse = read_sigmf(meta_path);
  if (!parse.problems.empty()) return Error{one_a_line(parse.problems)};
  auto file = open_data(sigmf_data_path(meta_path, parse.metadata.dataset));
  if (!file) return Error{file.error()};
  auto plan = plan_recording(parse.metadata, file->bytes, config.hints, meta_path.string());
  if (!plan) return Error{plan.error()};
  if (auto problem = check_type(*file, *plan, parse.metadata.type); !problem.empty()) {
    return Error{problem};
  }
  return std::unique_ptr<SampleStream>(std::make_unique<RecordingStream>(
      parse.metadata, std::move(plan).value(), std::move(file).value(), config, clock));
}

}  // namespace fixwright::agent::iq
