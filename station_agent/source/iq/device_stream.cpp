#include "station_agent/source/iq/device_stream.hpp"

#include <fmt/core.h>
#include <poll.h>

#include <algorithm>
#include <utility>

#include "station_agent/source/iq/converter.hpp"
#include "station_agent/source/iq/frame_clock.hpp"
#include "station_agent/source/iq/pacer.hpp"
#include "station_agent/source/iq/recording_stream.hpp"
#include "station_agent/source/lines/line_input.hpp"

namespace fixwright::agent::iq {

namespace {

constexpr Duration kFirstWait = std::chrono::seconds{1};
constexpr Duration kLongestWait = std::chrono::seconds{30};
constexpr Duration kSilence = std::chrono::seconds{5};

class DeviceStream final : public SampleStream {
 public:
  DeviceStream(const DeviceConfig& config, const Clock& clock)
      : config_(config), clock_(clock), frame_clock_(config.settings.rate_hz) {
    format_.rate_hz = config.settings.rate_hz;
    format_.centre_hz = config.settings.centre_hz;
    format_.elements = config.settings.elements;
    block_frames_ =
        config.block_frames > 0 ? config.block_frames : default_block_frames(format_.rate_hz);
    room_.resize(format_.elements);
    to_.resize(format_.elements);
  }

  [[nodiscard]] const StreamFormat& format() const override { return format_; }

  bool tune(double centre_hz) override {
    config_.settings.centre_hz = centre_hz;
    tune_due_ = device_ != nullptr;
    if (device_ == nullptr && std::exchange(format_.centre_hz, centre_hz) != centre_hz) {
      format_changed_ = true;
    }
    return true;
  }

  ReadOutcome read(SampleBlock& block, Duration patience) override {
    ReadOutcome outcome;
    if (failed_) return {.state = ReadState::failed, .note = fault_};
    if (device_ == nullptr && !open(patience, outcome)) return outcome;
    if (std::exchange(tune_due_, false)) retune(outcome);
    while (device_ != nullptr && filled_ < block_frames_) {
      if (!take(patience, outcome)) break;
      patience = Duration{};  // waited once; what is there is still taken
    }
    if (filled_ > 0 && (filled_ == block_frames_ || gap_due_ || device_ == nullptr)) {
      give(block, outcome);
    }
    return outcome;
  }

 private:
  bool open(Duration patience, ReadOutcome& outcome) {
    const Duration left = wait_ - (clock_.now() - since_);
    if (told_lost_ && left > Duration{} && left <= wait_) {  // a clock set back must not stop us
      poll(nullptr, 0, poll_ms(std::min(patience, left)));
      return false;
    }
    DeviceFault fault;
    device_ = Device::open(config_.settings, fault);
    if (device_ == nullptr) return refuse(fault, outcome);
    if (config_.time == DeviceTime::device && !device_->has_time()) {
      device_ = nullptr;
      return refuse({"has no clock of its own: choose source.iq.device.time = \"host\"", true},
                    outcome);
    }
    adopt();
    if (std::exchange(told_lost_, false)) outcome.note = "device: there again";
    return true;
  }

  bool refuse(const DeviceFault& fault, ReadOutcome& outcome) {
    if (fault.for_good) {
      failed_ = true;
      fault_ = fmt::format("device {}: {}", config_.settings.arguments, fault.what);
      outcome = {.state = ReadState::failed, .note = fault_};
    } else {
      lose(fault.what, outcome);
    }
    return false;
  }

  void adopt() {
    converter_.emplace(device_->type(), 1, device_->full_scale());
    for (auto& room : room_) room.resize(block_frames_ * converter_->frame_bytes());
    set_centre();
    filled_ = 0;
    next_time_.reset();
    frame_clock_.restart();
    by_our_clock_ = true;
    last_samples_ = clock_.now();
  }

  void set_centre() {
    const double before = std::exchange(format_.centre_hz, device_->centre_hz());
    format_changed_ = format_changed_ || before != format_.centre_hz;
  }

  void retune(ReadOutcome& outcome) {
    drop_filled();
    const double wanted_hz = config_.settings.centre_hz;
    if (const auto what = device_->tune(wanted_hz); !what.empty()) {
      config_.settings.centre_hz = format_.centre_hz;
      if (const auto lost = device_->tune(format_.centre_hz); !lost.empty()) {
        return lose(lost, outcome);
      }
      outcome.note =
          fmt::format("device {}: can not be tuned to {:.6f} MHz: {}: stays at {:.6f}",
                      config_.settings.arguments, wanted_hz / 1e6, what, format_.centre_hz / 1e6);
    }
    set_centre();
    mark_gap();
  }

  /// What is of the centre before. The device's clock has already gone past it.
  void drop_filled() {
    if (next_time_) begin_block({}, filled_);
    filled_ = 0;
  }

  void lose(const std::string& why, ReadOutcome& outcome) {
    if (!std::exchange(told_lost_, true)) {
      wait_ = kFirstWait;
      outcome.note = fmt::format("device {}: {}: trying again", config_.settings.arguments, why);
    } else {
      wait_ = std::min(2 * wait_, kLongestWait);
    }
    device_ = nullptr;
    since_ = clock_.now();
  }

  /// Frames are missing; how many, the next read tells.
  void mark_gap() { lost_some_ = true; }

  /// \return whether to go on filling the block.
  bool take(Duration patience, ReadOutcome& outcome) {
    const std::size_t bytes = converter_->frame_bytes();
    for (std::size_t e = 0; e < to_.size(); ++e) to_[e] = room_[e].data() + filled_ * bytes;
    Device::Read read = device_->read(to_.data(), block_frames_ - filled_, patience);
    switch (read.got) {
      case DeviceGot::samples:
        return add(read);
      case DeviceGot::nothing:
        if (clock_.now() - last_samples_ > kSilence) lose("gives no samples", outcome);
        return false;
      case DeviceGot::overflow:
        mark_gap();
        gap_due_ = filled_ > 0;
        return filled_ == 0;
      case DeviceGot::failed:
        lose(read.what, outcome);
        return false;
    }
    return false;
  }

  bool add(const Device::Read& read) {
    const std::uint64_t lost = lost_before(read);
    last_samples_ = clock_.now();
    if (filled_ == 0) {
      begin_block(read.time, lost);
    } else if (lost > 0) {  // a gap within the block: what was before it goes first
      held_ = read.frames;
      held_lost_ = lost;
      held_time_ = read.time;
      gap_due_ = true;
      return false;
    }
    filled_ += read.frames;
    return filled_ < block_frames_;
  }

  void begin_block(std::optional<Duration> time, std::uint64_t lost) {
    first_time_ = time;
    lost_ += lost;
    frame_clock_.skip(lost);
  }

  /// By the device's clock, also where the device said nothing of an overflow. Without one our
  /// clock will tell when the block is placed.
  std::uint64_t lost_before(const Device::Read& read) {
    const bool some = std::exchange(lost_some_, false);
    std::uint64_t lost = 0;
    if (read.time && next_time_) {
      lost = std::max<std::uint64_t>(frames_in(*read.time - *next_time_, format_.rate_hz),
                                     some ? 1 : 0);
    } else if (some) {
      frame_clock_.restart();
      by_our_clock_ = true;
    }
    next_time_.reset();
    if (read.time) next_time_ = *read.time + time_of_frames(read.frames, format_.rate_hz);
    return lost;
  }

  void give(SampleBlock& block, ReadOutcome& outcome) {
    const std::size_t frames = std::exchange(filled_, 0);
    block.resize(format_.elements, frames);
    for (std::size_t e = 0; e < room_.size(); ++e) {
      const std::span<const std::byte> bytes(room_[e].data(), frames * converter_->frame_bytes());
      block.clipped[e] = converter_->convert_element(bytes, block.element(e).data());
    }
    place(block, frames);
    keep_held(frames);
    outcome.state = ReadState::samples;
    outcome.format_changed = std::exchange(format_changed_, false);
    outcome.stuck = stuck_elements(block);
  }

  void place(SampleBlock& block, std::size_t frames) {
    const FrameClock::Stamp stamp = frame_clock_.stamp(frames, clock_.now());
    block.start = stamp.start;
    block.lost_frames_before = std::exchange(lost_, 0);
    // With a clock of its own the device has said what is lost while it ran.
    if (!first_time_ || std::exchange(by_our_clock_, false)) {
      block.lost_frames_before += stamp.lost;
    }
    if (config_.time == DeviceTime::device && first_time_) block.start = TimePoint{*first_time_};
  }

  /// What came behind a gap begins the next block.
  void keep_held(std::size_t behind) {
    gap_due_ = false;
    if (held_ == 0) return;
    const std::size_t bytes = converter_->frame_bytes();
    for (auto& room : room_) {
      std::copy_n(room.begin() + static_cast<std::ptrdiff_t>(behind * bytes), held_ * bytes,
                  room.begin());
    }
    filled_ = std::exchange(held_, 0);
    begin_block(held_time_, held_lost_);
  }

  DeviceConfig config_;
  const Clock& clock_;
  FrameClock frame_clock_;
  StreamFormat format_;
  std::size_t block_frames_ = 0;
  std::unique_ptr<Device> device_;
  std::optional<Converter> converter_;
  std::vector<std::vector<std::byte>> room_;  // for each element, as it comes
  std::vector<void*> to_;
  std::size_t filled_ = 0;
  std::optional<Duration> first_time_;  // of the block, by the device's clock
  std::optional<Duration> next_time_;   // of the next frame
  bool lost_some_ = false;              // before the next frame
  bool by_our_clock_ = false;           // how many are lost before the block
  TimePoint last_samples_;
  std::uint64_t lost_ = 0;
  bool gap_due_ = false;
  std::size_t held_ = 0;  // frames behind a gap, in room_ after filled_
  std::uint64_t held_lost_ = 0;
  std::optional<Duration> held_time_;
  bool format_changed_ = false;
  bool tune_due_ = false;
  bool failed_ = false;
  std::string fault_;
  bool told_lost_ = false;
  Duration wait_ = kFirstWait;
  TimePoint since_;
};

}  // namespace

std::unique_ptr<SampleStream> open_device(const DeviceConfig& config, const Clock& clock) {
  return std::make_unique<DeviceStream>(config, clock);
}

}  // namespace fixwright::agent::iq
