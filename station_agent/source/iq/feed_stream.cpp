#include "station_agent/source/iq/feed_stream.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <utility>

#include "station_agent/source/iq/decoder.hpp"
#include "station_agent/source/iq/frame_clock.hpp"
#include "station_agent/source/iq/pacer.hpp"
#include "station_agent/source/iq/recording_stream.hpp"
#include "station_agent/source/iq/type_check.hpp"

namespace fixwright::agent::iq {

namespace {

void add_note(ReadOutcome& outcome, const std::string& note) {
  if (!outcome.note.empty()) outcome.note += "; ";
  outcome.note += note;
}

class FeedStream final : public SampleStream {
 public:
  FeedStream(const FeedConfig& config, const Clock& clock)
      : config_(config),
        clock_(clock),
        input_(config.address, clock),
        decoder_(config.type, config.elements),
        frame_clock_(config.rate_hz) {
    format_.rate_hz = config.rate_hz / static_cast<double>(decoder_.decimation());
    format_.centre_hz = config.centre_hz + decoder_.centre_shift() * config.rate_hz;
    format_.elements = config.elements;
    const std::size_t frames =
        config.block_frames > 0 ? config.block_frames : default_block_frames(format_.rate_hz);
    bytes_.resize(frames * decoder_.decimation() * decoder_.frame_bytes());
  }

  [[nodiscard]] const StreamFormat& format() const override { return format_; }

  ReadOutcome read(SampleBlock& block, Duration patience) override {
    if (ended_) return {.state = ReadState::ended};
    ReadOutcome outcome;
    // What is there is taken without another wait, until the block is full.
    FeedInput::Got got = input_.read(room(), patience);
    for (; got.state == FeedState::bytes; got = input_.read(room(), Duration{})) {
      filled_ += got.bytes;
      if (filled_ == bytes_.size()) {
        give(block, outcome);
        return outcome;
      }
    }
    outcome.note = std::move(got.note);
    if (got.state == FeedState::lost || got.state == FeedState::ended) finish(block, outcome);
    ended_ = got.state == FeedState::ended;
    if (ended_ && outcome.state != ReadState::samples) outcome.state = ReadState::ended;
    return outcome;
  }

 private:
  std::span<std::byte> room() { return std::span<std::byte>(bytes_).subspan(filled_); }

  /// The connection ended: what is whole is given, the rest named.
  void finish(SampleBlock& block, ReadOutcome& outcome) {
    const std::size_t left = filled_ % decoder_.frame_bytes();
    if (left > 0) {
      add_note(outcome,
               fmt::format("it ended {} bytes into a frame of {}: are source.iq.feed.type and "
                           "the number of elements right?",
                           left, decoder_.frame_bytes()));
    }
    filled_ -= left;
    if (filled_ > 0) give(block, outcome);
    filled_ = 0;
    frame_clock_.restart();
    decoder_.reset();
    type_fits_ = false;
  }

  void give(SampleBlock& block, ReadOutcome& outcome) {
    const std::span<const std::byte> bytes(bytes_.data(), std::exchange(filled_, 0));
    const std::uint64_t frames = bytes.size() / decoder_.frame_bytes();
    const FrameClock::Stamp stamp = frame_clock_.stamp(frames, clock_.now());
    lost_ += stamp.lost;
    if (stamp.lost > 0) decoder_.reset();
    tell_odd_rate(outcome);
    if (!type_fits_ && !check_type(bytes, outcome)) {
      lost_ += frames;
      return;
    }
    decoder_.decode(bytes, block);
    block.start = stamp.start - time_of_frames(decoder_.delay_frames(), config_.rate_hz);
    const std::uint64_t step = decoder_.decimation();
    block.lost_frames_before = (std::exchange(lost_, 0) + step - 1) / step;
    outcome.state = ReadState::samples;
    outcome.stuck = stuck_elements(block);
  }

  bool check_type(std::span<const std::byte> bytes, ReadOutcome& outcome) {
    const std::string problem = type_problem(bytes, config_.type);
    type_fits_ = problem.empty();
    if (!type_fits_ && !std::exchange(told_type_, true)) {
      add_note(outcome,
               fmt::format("{}: source.iq.feed.type = {} does not fit the samples, they are not "
                           "used: {}",
                           input_.name(), to_string(config_.type), problem));
    }
    if (type_fits_) told_type_ = false;
    return type_fits_;
  }

  void tell_odd_rate(ReadOutcome& outcome) {
    const auto rate_hz = frame_clock_.take_odd_rate();
    if (!rate_hz) return;
    add_note(outcome, fmt::format("{}: brings {:.0f} frames a second, not {:.0f}: are "
                                  "source.iq.rate_hz, type and elements right, and does the sender "
                                  "keep to real time?",
                                  input_.name(), *rate_hz, config_.rate_hz));
  }

  FeedConfig config_;
  const Clock& clock_;
  FeedInput input_;
  Decoder decoder_;
  FrameClock frame_clock_;
  StreamFormat format_;
  std::vector<std::byte> bytes_;
  std::size_t filled_ = 0;
  std::uint64_t lost_ = 0;
  bool type_fits_ = false;
  bool told_type_ = false;
  bool ended_ = false;
};

}  // namespace

std::unique_ptr<SampleStream> open_feed(const FeedConfig& config, const Clock& clock) {
  return std::make_unique<FeedStream>(config, clock);
}

}  // namespace fixwright::agent::iq
