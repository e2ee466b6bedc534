#include "station_agent/source/iq/scene/scene_stream.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <thread>

namespace fixwright::agent::scene {

namespace {

/// A live scene that lags so far gives up what it missed, as a receiver would.
constexpr Duration kMostLag = std::chrono::seconds{2};

}  // namespace

SceneStream::SceneStream(SceneStreamConfig config, const Clock& clock)
    : config_(std::move(config)), clock_(clock), begun_(config_.start.value_or(clock.now())) {
  renderer_.emplace(config_.scene, config_.station, begun_);
  const SceneStation& station = renderer_->station();
  format_.rate_hz = station.rate_hz;
  format_.centre_hz = station.centre_hz;
  format_.elements = station.geometry.elements.size();
  if (config_.tell_array) format_.array = iq::StreamArray{station.geometry, true};
  const auto frames = std::llround(seconds(config_.block) * station.rate_hz);
  block_frames_ = static_cast<std::size_t>(std::max(frames, 1LL));
}

bool SceneStream::is_over() const {
  return config_.lasts > Duration{0} && renderer_->next() - begun_ >= config_.lasts;
}

/// Whether the next block has been received by now.
bool SceneStream::wait_for_block(Duration patience) const {
  if (config_.start) return true;
  const TimePoint end = renderer_->next() + config_.block;
  const Duration wait = end - clock_.now();
  if (wait > Duration{0}) std::this_thread::sleep_for(std::min(wait, patience));
  return clock_.now() >= end;
}

/// \return frames that were passed over because nobody read them in time.
std::uint64_t SceneStream::catch_up() {
  const Duration lag = clock_.now() - renderer_->next();
  if (config_.start || lag < kMostLag) return 0;
  const double frames = std::floor(seconds(lag) * format_.rate_hz);
  renderer_.emplace(config_.scene, config_.station,
                    renderer_->next() + from_seconds(frames / format_.rate_hz));
  return static_cast<std::uint64_t>(frames);
}

iq::ReadOutcome SceneStream::read(SampleBlock& block, Duration patience) {
  iq::ReadOutcome outcome;
  if (is_over()) {
    outcome.state = iq::ReadState::ended;
    return outcome;
  }
  if (!wait_for_block(patience)) return outcome;
  const std::uint64_t missed = catch_up();
  renderer_->render(block_frames_, block);
  block.lost_frames_before += missed;
  outcome.state = iq::ReadState::samples;
  return outcome;
}

}  // namespace fixwright::agent::scene
