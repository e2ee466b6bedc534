#include "station_agent/source/iq/scene/voice.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

#include "server/base/angle.hpp"
#include "station_agent/source/iq/scene/element_weights.hpp"

namespace fixwright::agent::scene {

namespace {

constexpr Duration kAimInterval = std::chrono::milliseconds{20};  // of moving emitters

/// The next stretch of a schedule: whether it is on, and how long it stays so.
struct Stretch {
  bool on = true;
  Duration lasts = Duration::max();
};

Stretch stretch_at(const Schedule& schedule, Duration since_start) {
  if (schedule.period <= Duration{0}) return {};
  Duration within = (since_start - schedule.offset) % schedule.period;
  if (within < Duration{0}) within += schedule.period;
  if (within < schedule.on) return {true, schedule.on - within};
  return {false, schedule.period - within};
}

std::size_t frames_in(Duration lasts, double rate_hz, std::size_t most) {
  const double frames = std::ceil(seconds(lasts) * rate_hz - 1e-6);
  return frames >= static_cast<double>(most)
             ? most
             : std::max<std::size_t>(1, static_cast<std::size_t>(frames));
}

/// row += weight * in; written out, since the operator looks for infinities.
void accumulate(std::complex<float>* row, std::complex<float> weight,
                std::span<const std::complex<float>> in) {
  const float wr = weight.real();
  const float wi = weight.imag();
  for (std::size_t f = 0; f < in.size(); ++f) {
    const float re = in[f].real();
    const float im = in[f].imag();
    row[f] += std::complex<float>(wr * re - wi * im, wr * im + wi * re);
  }
}

double longest_delay_s(const SceneStation& station, const SceneEmitter& emitter) {
  double longest = 0.0;
  for (const Echo& echo : station.echoes) {
    if (echo.emitter.empty() || echo.emitter == emitter.name) {
      longest = std::max(longest, echo.delay_s);
    }
  }
  return longest;
}

std::size_t longest_slip(const SceneStation& station) {
  std::size_t sum = 0;
  for (const Fault& f : station.faults) {
    if (f.kind == FaultKind::slip) sum += f.frames;
  }
  assert(sum <= Voice::kMostSlip);
  return sum;
}

}  // namespace

Voice::Voice(const Scene& scene, const SceneStation& station, const SceneEmitter& emitter,
             std::size_t most)
    : scene_(scene),
      station_(station),
      emitter_(emitter),
      // The emitter's own chance: every station hears the same symbols and the same noise.
      waveform_(make_waveform(emitter.signal, station.rate_hz,
                              Chance(scene.seed, "emitter", emitter.name))),
      turn_(1.0, 0.0),
      step_(std::polar(1.0, 2.0 * std::numbers::pi * (emitter.frequency_hz - station.centre_hz) /
                                station.rate_hz)) {
  const double delay = std::ceil(longest_delay_s(station, emitter) * station.rate_hz);
  history_ = static_cast<std::size_t>(delay) + longest_slip(station) + 1;
  quiet_ = history_;
  samples_.resize(history_ + most);
  shifted_.resize(most);
}

void Voice::add_ray(double azimuth_deg, std::complex<double> amplitude, double delay_s) {
  const array::ElementVector weights =
      emitter_.common_reference
          ? responses(station_, emitter_.frequency_hz)
          : element_weights(station_, azimuth_deg, emitter_.elevation_deg, emitter_.frequency_hz);
  Ray ray;
  ray.delay_frames = delay_s * station_.rate_hz;
  for (int e = 0; e < weights.size(); ++e) {
    ray.weights.emplace_back(amplitude * weights(e));
  }
  // Rays without delay are one.
  if (ray.delay_frames == 0.0 && !rays_.empty() && rays_.front().delay_frames == 0.0) {
    for (std::size_t e = 0; e < ray.weights.size(); ++e) rays_.front().weights[e] += ray.weights[e];
    return;
  }
  rays_.push_back(std::move(ray));
}

void Voice::aim(TimePoint at) {
  const bool moves = !emitter_.path.empty() && emitter_.path.front().moves();
  if (aimed_at_ && (!moves || at - *aimed_at_ < kAimInterval)) return;
  aimed_at_ = at;
  rays_.clear();
  const Arrival direct = arrival(scene_, station_, emitter_, at);
  const double amplitude = std::pow(10.0, direct.level_dbfs / 20.0);
  add_ray(direct.azimuth_deg, amplitude, 0.0);
  for (const Echo& echo : station_.echoes) {
    if (emitter_.common_reference) break;
    if (!echo.emitter.empty() && echo.emitter != emitter_.name) continue;
    add_ray(echo.azimuth_deg, std::polar(amplitude * echo.ratio, echo.phase_deg * kDegToRad),
            echo.delay_s);
  }
}

void Voice::fill_on(std::span<std::complex<float>> out) {
  waveform_->fill(out);
  for (auto& sample : out) {
    const auto turn = static_cast<std::complex<float>>(turn_);
    sample = {turn.real() * sample.real() - turn.imag() * sample.imag(),
              turn.real() * sample.imag() + turn.imag() * sample.real()};
    turn_ = {turn_.real() * step_.real() - turn_.imag() * step_.imag(),
             turn_.real() * step_.imag() + turn_.imag() * step_.real()};
  }
  turn_ /= std::abs(turn_);
}

bool Voice::make(TimePoint start, std::size_t frames) {
  const auto newest = samples_.begin() + static_cast<std::ptrdiff_t>(history_);
  for (std::size_t f = 0; f < frames;) {
    const Duration since =
        start - scene_.start + from_seconds(static_cast<double>(f) / station_.rate_hz);
    const Stretch stretch = stretch_at(emitter_.schedule, since);
    const std::size_t run = frames_in(stretch.lasts, station_.rate_hz, frames - f);
    const auto first = newest + static_cast<std::ptrdiff_t>(f);
    if (stretch.on) {
      fill_on({&*first, run});
      quiet_ = 0;
    } else {
      std::fill_n(first, run, std::complex<float>{});
      quiet_ += run;
    }
    f += run;
  }
  return quiet_ < history_ + frames;
}

/// The newest frames as they were so long ago; between two of them linear.
std::span<const std::complex<float>> Voice::delayed(std::size_t frames, double delay_frames) {
  if (delay_frames == 0.0) return {samples_.data() + history_, frames};
  const auto whole = static_cast<std::size_t>(delay_frames);
  const auto part = static_cast<float>(delay_frames - static_cast<double>(whole));
  const std::complex<float>* late = samples_.data() + history_ - whole;
  for (std::size_t f = 0; f < frames; ++f) {
    shifted_[f] = part == 0.0F ? late[f] : (1.0F - part) * late[f] + part * *(late + f - 1);
  }
  return {shifted_.data(), frames};
}

void Voice::add(TimePoint start, std::span<std::complex<float>> rows, const Slips& slips) {
  const std::size_t frames = rows.size() / slips.size();
  assert(history_ + frames <= samples_.size());
  const bool audible = make(start, frames);
  if (audible) {
    aim(start);
    for (const Ray& ray : rays_) {
      for (std::size_t e = 0; e < slips.size(); ++e) {
        accumulate(rows.data() + e * frames, ray.weights[e],
                   delayed(frames, ray.delay_frames + static_cast<double>(slips[e])));
      }
    }
  }
  // What is newest now is the next frames' past.
  std::copy(samples_.begin() + static_cast<std::ptrdiff_t>(frames),
            samples_.begin() + static_cast<std::ptrdiff_t>(frames + history_), samples_.begin());
}

}  // namespace fixwright::agent::scene
