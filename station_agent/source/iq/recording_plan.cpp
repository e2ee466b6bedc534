#include "station_agent/source/iq/recording_plan.hpp"

#include <fmt/core.h>

#include <algorithm>

#include "station_agent/source/iq/pacer.hpp"

namespace fixwright::agent::iq {

namespace {

constexpr Duration kTimeTolerance = std::chrono::milliseconds{1};
constexpr double kMostSeconds = 3.2e8;  // ten years

class Planner {
 public:
  Planner(const SigmfMetadata& m, std::uint64_t file_bytes, const RecordingHints& hints,
          const std::string& name)
      : m_(m),
        hints_(hints),
        name_(name),
        frame_bytes_(m.elements * sample_bytes(m.type)),
        left_bytes_(file_bytes) {}

  Result<RecordingPlan> run() {
    std::string problem = check();
    for (std::size_t i = 0; problem.empty() && i < m_.captures.size(); ++i) problem = add(i);
    if (problem.empty()) problem = check_whole();
    if (!problem.empty()) return Error{fmt::format("{}: {}", name_, problem)};
    return plan_;
  }

 private:
  std::string check() {
    if (m_.metadata_only) return "core:metadata_only = true: it comes without samples";
    if (hints_.elements > 0 && hints_.elements != m_.elements) {
      return fmt::format("global core:num_channels = {}: the array has {} elements", m_.elements,
                         hints_.elements);
    }
    if (left_bytes_ < m_.trailing_bytes) {
      return fmt::format("core:trailing_bytes = {}: the data file has {}", m_.trailing_bytes,
                         left_bytes_);
    }
    left_bytes_ -= m_.trailing_bytes;
    return skip_undescribed();
  }

  /// Samples before the first capture: nothing is known of them.
  std::string skip_undescribed() {
    const std::uint64_t frames = m_.captures.front().sample_start - m_.offset;
    if (frames > left_bytes_ / frame_bytes_) return "the data ends before captures[0] begins";
    offset_ += frames * frame_bytes_;
    left_bytes_ -= frames * frame_bytes_;
    return {};
  }

  /// One capture: its place, its length, its time.
  std::string add(std::size_t i) {
    const SigmfCapture& c = m_.captures[i];
    if (left_bytes_ < c.header_bytes) {
      flaw(fmt::format("the data ends before captures[{}]: it was truncated", i));
      return {};
    }
    offset_ += c.header_bytes;
    left_bytes_ -= c.header_bytes;
    RecordingStretch stretch{.file_offset = offset_, .frames = take_frames(i), .start = {}};
    std::string problem = set_time(i, stretch);
    if (problem.empty()) problem = set_frequency(i, stretch);
    stretch.array = c.array;
    counted_from_ = stretch.start;
    counted_frames_ = stretch.frames;
    if (stretch.frames > 0) {
      stretch.lost_before += lost_carried_;
      lost_carried_ = 0;
      plan_.stretches.push_back(std::move(stretch));
    } else {
      lost_carried_ += stretch.lost_before;
    }
    return problem;
  }

  std::uint64_t take_frames(std::size_t i) {
    const std::uint64_t there = left_bytes_ / frame_bytes_;
    std::uint64_t frames = there;
    if (i + 1 < m_.captures.size()) {
      frames = m_.captures[i + 1].sample_start - m_.captures[i].sample_start;
      if (frames > there) {
        flaw(
            fmt::format("captures[{}] begins {} frames after captures[{}], the data holds {} of "
                        "them: it was truncated",
                        i + 1, frames, i, there));
        frames = there;
      }
    }
    offset_ += frames * frame_bytes_;
    left_bytes_ -= frames * frame_bytes_;
    taken_ += frames;
    return frames;
  }

  std::string set_time(std::size_t i, RecordingStretch& stretch) {
    const SigmfCapture& c = m_.captures[i];
    if (i == 0) return set_first_time(c, stretch);
    const std::uint64_t lost = lost_by_index(i);
    const double since_s =
        (static_cast<double>(counted_frames_) + static_cast<double>(lost)) / m_.rate_hz;
    if (since_s > kMostSeconds || counted_from_ > kLatestRecording) {
      return fmt::format(
          "captures[{}]: would begin more than ten years after the one before, or "
          "after 2200",
          i);
    }
    const TimePoint counted = counted_from_ + time_of_frames(counted_frames_ + lost, m_.rate_hz);
    stretch.lost_before = lost;
    stretch.start = counted;
    if (!c.datetime) return {};
    const Duration off = *c.datetime - counted;
    if (off < -kTimeTolerance) {
      return fmt::format(
          "captures[{}] core:datetime = {}: lies before the end of the capture "
          "before, {}",
          i, format_rfc3339(*c.datetime, 6), format_rfc3339(counted, 6));
    }
    if (off <= kTimeTolerance) return {};
    stretch.start = *c.datetime;
    stretch.lost_before += std::max<std::uint64_t>(frames_in(off, m_.rate_hz), 1);
    return {};
  }

  std::string set_first_time(const SigmfCapture& c, RecordingStretch& stretch) {
    const auto start = c.datetime ? c.datetime : hints_.start;
    if (!start) {
      return "captures[0] core:datetime: missing: give source.iq.recording.start instead";
    }
    if (*start < kEarliestRecording || *start >= kLatestRecording) {
      return fmt::format("begins at {}: must be 1920 to 2199", format_rfc3339(*start));
    }
    stretch.start = *start;
    return {};
  }

  /// By the counter that ran on while frames were lost.
  std::uint64_t lost_by_index(std::size_t i) {
    const SigmfCapture& now = m_.captures[i];
    const SigmfCapture& before = m_.captures[i - 1];
    if (!now.global_index) return 0;
    const std::uint64_t then = before.global_index.value_or(before.sample_start);
    const std::uint64_t kept = now.sample_start - before.sample_start;
    const bool sound = *now.global_index >= then && *now.global_index - then >= kept;
    return sound ? *now.global_index - then - kept : 0;
  }

  std::string set_frequency(std::size_t i, RecordingStretch& stretch) const {
    const double centre_hz = m_.captures[i].frequency_hz.value_or(hints_.centre_hz);
    stretch.centre_hz = centre_hz;
    if (m_.captures[i].frequency_hz || hints_.centre_hz > 0.0) return {};
    return fmt::format("captures[{}] core:frequency: missing: give source.iq.centre_hz instead", i);
  }

  std::string check_whole() {
    if (plan_.stretches.empty()) return "the data file holds no samples";
    if (static_cast<double>(taken_) / m_.rate_hz > kMostSeconds) {
      return fmt::format("core:sample_rate = {}: the data would last more than ten years",
                         m_.rate_hz);
    }
    if (left_bytes_ > 0) {
      flaw(
          fmt::format("the data ends {} bytes into a frame of {}: it was truncated, or "
                      "core:datatype or core:num_channels is wrong",
                      left_bytes_, frame_bytes_));
    }
    const std::uint64_t end = m_.captures.front().sample_start + taken_;
    const bool wraps = end < taken_;
    if (m_.annotated_end > end && !wraps) {
      flaw(fmt::format("annotations reach to sample {}, the data to {}: it was truncated",
                       m_.annotated_end, end));
    }
    return {};
  }

  /// The first says it best.
  void flaw(const std::string& what) {
    if (plan_.flaw.empty()) plan_.flaw = fmt::format("{}: {}", name_, what);
  }

  const SigmfMetadata& m_;
  const RecordingHints& hints_;
  const std::string& name_;
  std::uint64_t frame_bytes_;
  std::uint64_t left_bytes_;
  std::uint64_t offset_ = 0;
  std::uint64_t taken_ = 0;
  std::uint64_t lost_carried_ = 0;
  TimePoint counted_from_;
  std::uint64_t counted_frames_ = 0;
  RecordingPlan plan_;
};

}  // namespace

Result<RecordingPlan> plan_recording(const SigmfMetadata& metadata, std::uint64_t file_bytes,
                                     const RecordingHints& hints, const std::string& name) {
  return Planner(metadata, file_bytes, hints, name).run();
}

}  // namespace fixwright::agent::iq
