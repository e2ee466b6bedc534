#include "station_agent/source/iq/scene/renderer.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

#include "server/base/angle.hpp"

namespace fixwright::agent::scene {

namespace {

/// Made at once; its edges lie on multiples of it and on faults, so that they do not depend on
/// how much is asked for.
constexpr std::uint64_t kChunk = 1024;

bool cuts(FaultKind kind) { return kind == FaultKind::drop || kind == FaultKind::clock_step; }

float quantised(float value, float steps) {
  return std::clamp(std::nearbyint(value * steps), -steps, steps - 1.0F) / steps;
}

}  // namespace

Renderer::Renderer(Scene scene, const std::string& station, TimePoint start)
    : scene_(std::move(scene)), station_(scene_.station(station)), start_(start) {
  assert(station_ != nullptr && array::geometry_problem(station_->geometry).empty());
  for (const SceneEmitter& e : scene_.emitters) {
    if (is_in_band(*station_, e)) {
      voices_.push_back(std::make_unique<Voice>(scene_, *station_, e, kChunk));
    }
  }
  for (std::size_t e = 0; e < station_->geometry.elements.size(); ++e) {
    noise_.emplace_back(scene_.seed, station_->name, "noise", e);
  }
  cut_passed_.resize(station_->faults.size());
}

TimePoint Renderer::time_of(std::uint64_t frame) const {
  const long double s =
      static_cast<long double>(frame) / static_cast<long double>(station_->rate_hz);
  return start_ + Duration{static_cast<Duration::rep>(std::llround(s * 1e9L))};
}

std::uint64_t Renderer::frame_of(const Fault& fault) const {
  return static_cast<std::uint64_t>(std::llround(seconds(fault.at) * station_->rate_hz));
}

std::uint64_t Renderer::frames_until_cut() const {
  std::uint64_t least = UINT64_MAX;
  for (std::size_t i = 0; i < station_->faults.size(); ++i) {
    const Fault& f = station_->faults[i];
    if (cuts(f.kind) && !cut_passed_[i] && frame_of(f) > next_frame_) {
      least = std::min(least, frame_of(f) - next_frame_);
    }
  }
  return least;
}

/// Drops and clock steps that lie before the next frame.
void Renderer::pass_cuts(SampleBlock& block) {
  block.lost_frames_before = 0;
  for (std::size_t i = 0; i < station_->faults.size(); ++i) {
    const Fault& f = station_->faults[i];
    if (!cuts(f.kind) || cut_passed_[i] || frame_of(f) > next_frame_) continue;
    cut_passed_[i] = true;
    if (f.kind == FaultKind::clock_step) {
      clock_ahead_ += from_seconds(f.value);
      continue;
    }
    block.lost_frames_before += f.frames;
    take(f.frames, nullptr, 0);
  }
}

void Renderer::render(std::size_t wanted, SampleBlock& block) {
  assert(wanted > 0);
  pass_cuts(block);
  const auto frames = static_cast<std::size_t>(std::min<std::uint64_t>(wanted, frames_until_cut()));
  block.resize(station_->geometry.elements.size(), frames);
  block.start = next() + clock_ahead_;
  take(frames, &block, 0);
}

/// Moves on by so many frames, into the block where there is one.
void Renderer::take(std::size_t frames, SampleBlock* block, std::size_t at) {
  while (frames > 0) {
    if (chunk_taken_ == chunk_frames_) make_chunk();
    const std::size_t n = std::min(frames, chunk_frames_ - chunk_taken_);
    for (std::size_t e = 0; block != nullptr && e < block->elements; ++e) {
      const auto from = static_cast<std::ptrdiff_t>(e * chunk_frames_ + chunk_taken_);
      const auto to = from + static_cast<std::ptrdiff_t>(n);
      std::copy(chunk_.begin() + from, chunk_.begin() + to,
                block->element(e).begin() + static_cast<std::ptrdiff_t>(at));
      block->clipped[e] +=
          static_cast<std::uint32_t>(std::count(full_.begin() + from, full_.begin() + to, true));
    }
    chunk_taken_ += n;
    next_frame_ += n;
    at += n;
    frames -= n;
  }
}

std::uint64_t Renderer::chunk_end() const {
  std::uint64_t end = (next_frame_ / kChunk + 1) * kChunk;
  for (const Fault& f : station_->faults) {
    if (frame_of(f) > next_frame_) end = std::min(end, frame_of(f));
  }
  return end;
}

void Renderer::make_chunk() {
  const auto frames = static_cast<std::size_t>(chunk_end() - next_frame_);
  chunk_first_ = next_frame_;
  chunk_frames_ = frames;
  chunk_taken_ = 0;
  chunk_.assign(noise_.size() * frames, {});
  Slips slips(noise_.size());
  for (const Fault& f : station_->faults) {
    if (f.kind == FaultKind::slip && frame_of(f) <= chunk_first_) slips[f.element] += f.frames;
  }
  for (const auto& voice : voices_) voice->add(time_of(chunk_first_), chunk_, slips);
  break_signals(chunk_first_, frames);
  add_noise(frames);
  break_elements(frames);
  quantise(frames);
}

/// Faults of antennas and oscillators, before the converter's noise.
void Renderer::break_signals(std::uint64_t first, std::size_t frames) {
  for (const Fault& f : station_->faults) {
    if (frame_of(f) > first) continue;
    std::complex<float>* row = chunk_.data() + f.element * frames;
    if (f.kind == FaultKind::deaf) std::fill_n(row, frames, std::complex<float>{});
    const double turn_hz = f.kind == FaultKind::rotation ? f.value : 0.0;
    const double turn_deg = f.kind == FaultKind::phase_step ? f.value : 0.0;
    if (turn_hz == 0.0 && turn_deg == 0.0) continue;
    for (std::size_t i = 0; i < frames; ++i) {
      const double since_s = static_cast<double>(first + i - frame_of(f)) / station_->rate_hz;
      row[i] *= static_cast<std::complex<float>>(std::polar(
          1.0, turn_deg * kDegToRad + 2.0 * std::numbers::pi * std::fmod(turn_hz * since_s, 1.0)));
    }
  }
}

void Renderer::add_noise(std::size_t frames) {
  const auto amplitude = static_cast<float>(std::pow(10.0, station_->noise_dbfs / 20.0));
  for (std::size_t e = 0; e < noise_.size(); ++e) {
    std::complex<float>* row = chunk_.data() + e * frames;
    for (std::size_t f = 0; f < frames; ++f) row[f] += amplitude * noise_[e].complex_normal();
  }
}

/// Faults of receivers and plugs.
void Renderer::break_elements(std::size_t frames) {
  for (const Fault& f : station_->faults) {
    if (frame_of(f) > chunk_first_) continue;
    std::complex<float>* row = chunk_.data() + f.element * frames;
    if (f.kind == FaultKind::dead) {
      for (std::size_t i = 0; i < frames; ++i) row[i] *= 1e-3F;
    }
    if (f.kind == FaultKind::stuck) std::fill_n(row, frames, std::complex<float>(0.25F, -0.125F));
    if (f.kind == FaultKind::swapped) {
      std::swap_ranges(row, row + frames, chunk_.data() + f.other * frames);
    }
  }
}

void Renderer::quantise(std::size_t frames) {
  const auto steps = static_cast<float>(std::exp2(station_->bits > 0 ? station_->bits - 1 : 23));
  const float top = (steps - 1.0F) / steps;
  full_.assign(noise_.size() * frames, false);
  for (std::size_t i = 0; i < chunk_.size(); ++i) {
    std::complex<float>& s = chunk_[i];
    s = station_->bits > 0
            ? std::complex<float>(quantised(s.real(), steps), quantised(s.imag(), steps))
            : std::complex<float>(std::clamp(s.real(), -1.0F, 1.0F),
                                  std::clamp(s.imag(), -1.0F, 1.0F));
    const auto ends = [&](float v) { return v <= -1.0F || v >= top; };
    full_[i] = ends(s.real()) || ends(s.imag());
  }
}

}  // namespace fixwright::agent::scene
