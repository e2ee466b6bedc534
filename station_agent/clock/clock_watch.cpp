#include "station_agent/clock/clock_watch.hpp"

#include "server/base/log.hpp"

namespace fixwright::agent {

namespace {

constexpr Duration kEvery = std::chrono::milliseconds{200};
constexpr Duration kAskEvery = std::chrono::seconds{1};
constexpr Duration kAskAgainAfterFailure = std::chrono::seconds{10};
constexpr Duration kAnswerHolds = std::chrono::seconds{3};
constexpr Duration kAnswerWithin = std::chrono::seconds{2};

}  // namespace

void ChronyPoll::step(Duration since_boot) {
  if (!child_) {
    if (command_.empty() || since_boot < next_) return;
    child_ = std::make_unique<ChildOutput>(command_, kAnswerWithin);
  }
  const ChildOutput::State state = child_->poll();
  if (state == ChildOutput::State::running) return;
  const auto answer = state == ChildOutput::State::done ? parse_tracking(child_->output())
                                                        : std::optional<ChronyTracking>{};
  child_.reset();
  if (answer) answered_at_ = since_boot;
  answer_ = answer;
  next_ = since_boot + (answer ? kAskEvery : kAskAgainAfterFailure);
}

std::optional<ChronyTracking> ChronyPoll::newest(Duration since_boot) const {
  if (!answer_ || since_boot - answered_at_ > kAnswerHolds) return std::nullopt;
  return answer_;
}

ClockWatch::ClockWatch(std::vector<std::string> chronyc)
    : chrony_(std::move(chronyc)), thread_([this](const std::stop_token& stop) { watch(stop); }) {}

ClockWatch::~ClockWatch() = default;

ClockReading ClockWatch::read() const {
  const std::lock_guard hold(mutex_);
  return look();
}

ClockReading ClockWatch::look() const {
  ClockLook now;
  now.times = read_host_times();
  now.kernel_returned = adjtimex(&now.kernel);  // modes 0: read only
  now.chrony = chrony_.newest(now.times.since_boot);
  const ClockReading reading = judge_.judge(now);
  for (const ClockLine& line : judge_.take_lines()) {
    log::write(line.degraded ? log::Level::warn : log::Level::info, line.text);
  }
  return reading;
}

void ClockWatch::watch(const std::stop_token& stop) {
  while (!stop.stop_requested()) {
    {
      const std::lock_guard hold(mutex_);
      chrony_.step(read_host_times().since_boot);
      look();
    }
    std::this_thread::sleep_for(kEvery);
  }
}

}  // namespace fixwright::agent
