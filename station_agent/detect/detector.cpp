#include "station_agent/detect/detector.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "station_agent/detect/element_watch.hpp"
#include "station_agent/detect/look_maker.hpp"
#include "station_agent/detect/window_feed.hpp"

namespace fixwright::agent::detect {
namespace {

double decibels(double power) { return 10.0 * std::log10(std::max(power, 1e-30)); }

std::size_t steps_in(Duration d, Duration step) {
  return static_cast<std::size_t>(std::llround(seconds(d) / seconds(step)));
}

ActivityRules activity_rules(const DetectionRules& rules, Duration step) {
  return {std::pow(10.0, 0.1 * rules.open_snr_db), std::pow(10.0, 0.1 * rules.close_snr_db),
          steps_in(rules.hang, step), std::max<std::size_t>(1, steps_in(rules.integration, step))};
}

/// What a channel's look at hand has met, beside its powers.
struct OpenLook {
  TimePoint first_step;  // its start
  bool opened = false;
  bool blind = false;  // opened with the first step after a break: its beginning was not seen
  bool cut = false;
  bool overload = false;
  std::uint32_t faulty = 0;
  bool told = false;  // a look of this transmission went out before
};

}  // namespace

class Detector::Implementation {
 public:
  explicit Implementation(const DetectorConfig& config)
      : config_(config),
        plan_(plan_bins(config)),
        step_(plan_.step()),
        fft_(plan_.size, plan_.guard),
        feed_(config.elements, plan_.size),
        bank_(plan_, config.elements),
        floor_(plan_, config.elements, config.rules.floor_interval),
        watch_(config.elements, config.rules),
        activity_(config.channels.size(), Activity(activity_rules(config.rules, step_))),
        looks_(config.channels.size()),
        open_(config.channels.size()),
        states_(config.channels.size()),
        element_noise_dbfs_(config.elements) {}

  void process(const SampleBlock& block, LookList& out) {
    assert(block.elements == config_.elements);
    if (block.frames == 0) {
      return;
    }
    check_time(block, out);
    const bool overload = watch_.clipped(block.clipped, block.frames, block.start, out.notices);
    feed_.begin(block);
    while (const auto at = feed_.next()) {
      step_overload_ = step_overload_ || overload || (*at < 0 && overload_before_);
      window(block.start + frames_to_time(*at), out);
    }
    feed_.end();
    overload_before_ = overload;
    next_start_ = block.start + frames_to_time(static_cast<std::ptrdiff_t>(block.frames));
    advance_watermark(block);
  }

  void finish(LookList& out) {
    break_off(out);
    started_ = false;
  }

  [[nodiscard]] TimePoint low_watermark() const { return watermark_; }
  [[nodiscard]] std::span<const ChannelState> channels() const { return states_; }
  [[nodiscard]] std::uint32_t faulty_elements() const { return watch_.faulty(); }
  [[nodiscard]] std::span<const double> element_noise_dbfs() const {
    return floor_.ready() ? std::span<const double>(element_noise_dbfs_)
                          : std::span<const double>{};
  }
  [[nodiscard]] double bin_hz() const { return plan_.bin_hz; }
  [[nodiscard]] Duration step() const { return step_; }

 private:
  [[nodiscard]] Duration frames_to_time(std::ptrdiff_t frames) const {
    return from_seconds(static_cast<double>(frames) / plan_.rate_hz);
  }

  void check_time(const SampleBlock& block, LookList& out) {
    if (!started_) {
      started_ = true;
      return;
    }
    const Duration jump = block.start - next_start_;
    if (block.lost_frames_before > 0) {
      out.notices.push_back(
          {NoticeKind::gap, true, next_start_, 0, static_cast<double>(block.lost_frames_before)});
      break_off(out);
    } else if (std::chrono::abs(jump) > step_) {
      out.notices.push_back({NoticeKind::time_step, true, block.start, 0, seconds(jump)});
      break_off(out);
    }
  }

  /// What comes next does not follow: no window and no look reaches across.
  void break_off(LookList& out) {
    for (std::size_t c = 0; c < activity_.size(); ++c) {
      if (activity_[c].active()) {
        looks_[c].cut = true;
        const LookShape shape = activity_[c].shape();
        emit(c, shape, looks_[c].first_step + steps(static_cast<double>(shape.last_own + 1)), true,
             out);
      }
      activity_[c].reset();
      open_[c] = 0;
    }
    feed_.reset();
    window_in_step_ = 0;
    step_overload_ = false;
    overload_before_ = false;
    steps_since_break_ = 0;
  }

  void window(TimePoint start, LookList& out) {
    if (window_in_step_ == 0) {
      // A window's weight lies in its middle half: it stands for the hop there.
      step_start_ = start + frames_to_time(static_cast<std::ptrdiff_t>(plan_.hop / 2));
    }
    const bool for_floor = floor_.wants(windows_);
    for (std::size_t e = 0; e < config_.elements; ++e) {
      const std::complex<float>* samples = feed_.window(e, fft_);
      watch_.samples(e, {samples + plan_.hop, plan_.hop}, start, out.notices);
      const auto* bin0 = reinterpret_cast<const float*>(fft_.transform(samples));
      bank_.take(e, window_in_step_, bin0);
      if (for_floor) {
        floor_.add(e, bin0);
      }
    }
    ++windows_;
    if (for_floor && floor_.window_done(watch_.faulty(), open_)) {
      new_floor(start, out);
    }
    if (++window_in_step_ == plan_.step_windows) {
      window_in_step_ = 0;
      end_step(out);
    }
  }

  void new_floor(TimePoint at, LookList& out) {
    const auto noise = floor_.of_elements();
    watch_.noise(noise, at, out.notices);
    for (std::size_t e = 0; e < noise.size(); ++e) {
      element_noise_dbfs_[e] = decibels(noise[e] * static_cast<double>(plan_.size));
    }
  }

  void end_step(LookList& out) {
    if (floor_.ready()) {
      bank_.sum_powers(watch_.faulty());
      for (std::size_t c = 0; c < activity_.size(); ++c) {
        channel_step(c, out);
      }
      ++steps_since_break_;
    }
    step_overload_ = false;
  }

  void channel_step(std::size_t c, LookList& out) {
    const double power = bank_.power(c);
    const double noise = floor_.of_channel(c) * static_cast<double>(plan_.channels[c].count);
    const StepVerdict verdict = activity_[c].step(power - noise, noise);
    switch (verdict) {
      case StepVerdict::opens:
        begin_look(c, true);
        break;
      case StepVerdict::splits:
        emit(c, activity_[c].finished(), step_start_, false, out);
        begin_look(c, false);
        break;
      case StepVerdict::closes:
        close(c, out);
        break;
      case StepVerdict::quiet:
      case StepVerdict::waits:
      case StepVerdict::holds:
        break;
    }
    if (verdict == StepVerdict::opens || verdict == StepVerdict::splits ||
        verdict == StepVerdict::holds) {
      add_step(c);
    }
    open_[c] = activity_[c].active() ? 1 : 0;
    states_[c] = {activity_[c].active(), decibels(power), decibels(noise)};
  }

  void begin_look(std::size_t c, bool opened) {
    const bool blind = opened && steps_since_break_ == 0;
    looks_[c] = {step_start_, opened, blind, blind, false, 0, !opened};
    bank_.clear(c);
  }

  void add_step(std::size_t c) {
    bank_.add_step(c);
    looks_[c].overload = looks_[c].overload || step_overload_;
    looks_[c].faulty |= watch_.faulty();
  }

  void close(std::size_t c, LookList& out) {
    const LookShape& shape = activity_[c].finished();
    const double end = static_cast<double>(shape.last_own) + shape.tail_steps;
    emit(c, shape, looks_[c].first_step + steps(end), true, out);
  }

  [[nodiscard]] Duration steps(double count) const { return from_seconds(count * seconds(step_)); }

  void emit(std::size_t c, const LookShape& shape, TimePoint end, bool closed, LookList& out) {
    OpenLook& open = looks_[c];
    TimePoint start = open.first_step;
    if (open.opened && !open.blind) {
      start += steps(1.0 - shape.lead_steps);
    }
    if (!open.told && closed && end - start < config_.rules.shortest) {
      return;
    }
    ChannelLook& look = out.add();
    look.channel = c;
    look.start = start;
    look.integration = end - start;
    look.opened = open.opened;
    look.closed = closed;
    look.cut = open.cut;
    look.overload = open.overload;
    make_look(config_, plan_, floor_, shape, bank_, look);
    watch_.look(look, out.notices);
    look.faulty_elements = open.faulty | watch_.faulty();
    open.told = true;
  }

  /// A look that is open, and one that the next step may open, begin at most one step before their
  /// first step.
  void advance_watermark(const SampleBlock& block) {
    TimePoint mark = window_in_step_ > 0
                         ? step_start_
                         : block.start + frames_to_time(static_cast<std::ptrdiff_t>(block.frames) -
                                                        static_cast<std::ptrdiff_t>(plan_.size));
    for (std::size_t c = 0; c < activity_.size(); ++c) {
      if (activity_[c].active()) {
        mark = std::min(mark, looks_[c].first_step);
      }
    }
    watermark_ = std::max(watermark_, mark - step_);
  }

  DetectorConfig config_;
  BinPlan plan_;
  Duration step_;
  Fft fft_;
  WindowFeed feed_;
  ChannelBank bank_;
  NoiseFloor floor_;
  ElementWatch watch_;
  std::vector<Activity> activity_;
  std::vector<OpenLook> looks_;
  std::vector<std::uint8_t> open_;
  std::vector<ChannelState> states_;
  std::vector<double> element_noise_dbfs_;
  bool started_ = false;
  TimePoint next_start_;  // where the next block should begin
  TimePoint watermark_;
  TimePoint step_start_;
  std::uint64_t windows_ = 0;
  std::size_t window_in_step_ = 0;
  std::uint64_t steps_since_break_ = 0;
  bool step_overload_ = false;
  bool overload_before_ = false;
};

Detector::Detector(const DetectorConfig& config) {
  assert(problems_of(config).empty());
  implementation_ = std::make_unique<Implementation>(config);
}
Detector::~Detector() = default;

void Detector::process(const SampleBlock& block, LookList& out) {
  implementation_->process(block, out);
}
void Detector::finish(LookList& out) { implementation_->finish(out); }
TimePoint Detector::low_watermark() const { return implementation_->low_watermark(); }
std::span<const ChannelState> Detector::channels() const { return implementation_->channels(); }
std::uint32_t Detector::faulty_elements() const { return implementation_->faulty_elements(); }
std::span<const double> Detector::element_noise_dbfs() const {
  return implementation_->element_noise_dbfs();
}
double Detector::bin_hz() const { return implementation_->bin_hz(); }
Duration Detector::step() const { return implementation_->step(); }

}  // namespace fixwright::agent::detect
