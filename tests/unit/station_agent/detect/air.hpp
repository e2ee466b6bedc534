#pragma once
/// Made samples for the detector's tests: noise on every element and whatever a test adds.

#include <algorithm>
#include <cmath>
#include <complex>
#include <functional>
#include <numbers>
#include <random>
#include <vector>

#include "station_agent/detect/detector.hpp"

namespace fixwright::agent::detect::air {

inline constexpr double kRate_hz = 240e3;
inline constexpr double kCentre_hz = 433.92e6;
inline const TimePoint kStart{std::chrono::hours{24 * 365 * 50}};

/// A signal's sample on element e at t seconds after the beginning.
using Signal = std::function<std::complex<double>(double t, std::size_t e)>;

/// A carrier of `level_dbfs` at `offset_hz` from the centre, on from `from` to `to`; its phase
/// grows by `phase_rad` from element to element.
inline Signal carrier(double level_dbfs, double offset_hz, double from = 0.0, double to = 1e9,
                      double phase_rad = 0.7) {
  const double amplitude = std::pow(10.0, 0.05 * level_dbfs);
  return [=](double t, std::size_t e) -> std::complex<double> {
    if (t < from || t >= to) {
      return 0.0;
    }
    return std::polar(amplitude, 2.0 * std::numbers::pi * std::fmod(offset_hz * t, 1.0) +
                                     phase_rad * static_cast<double>(e));
  };
}

inline DetectorConfig config(std::vector<double> offsets_hz, double width_hz = 12.5e3,
                             std::size_t elements = 3) {
  DetectorConfig c;
  c.rate_hz = kRate_hz;
  c.centre_hz = kCentre_hz;
  c.elements = elements;
  for (const double offset_hz : offsets_hz) {
    c.channels.push_back({kCentre_hz + offset_hz, width_hz});
  }
  return c;
}

/// Plays samples into a detector and keeps all it said.
class Player {
 public:
  explicit Player(const DetectorConfig& c, unsigned seed = 1)
      : detector(c), config_(c), random_(seed) {}

  void play(double duration_s) {
    auto left = static_cast<std::size_t>(std::llround(duration_s * config_.rate_hz));
    while (left > 0) {
      const std::size_t frames = std::min(left, block_frames);
      play_block(frames);
      left -= frames;
    }
  }

  /// The next frames are lost on the way.
  void lose(std::size_t frames) {
    frame_ += frames;
    lost_ = frames;
  }

  void finish() {
    list_.clear();
    detector.finish(list_);
    keep();
  }

  [[nodiscard]] double now_s() const { return static_cast<double>(frame_) / config_.rate_hz; }
  /// Seconds since the beginning.
  static double since(TimePoint t) { return seconds(t - kStart); }
  [[nodiscard]] std::vector<Notice> notices_of(NoticeKind kind, bool began = true) const {
    std::vector<Notice> found;
    for (const Notice& n : notices) {
      if (n.kind == kind && n.began == began) {
        found.push_back(n);
      }
    }
    return found;
  }

  Detector detector;
  double noise_dbfs = -60.0;  // of each element, in the whole band
  std::vector<Signal> signals;
  /// What becomes of a sample on its way: faults of the receiver.
  std::function<std::complex<double>(std::complex<double>, double t, std::size_t e)> receiver;
  std::size_t block_frames = 3000;
  Duration clock_error{};
  std::vector<ChannelLook> looks;
  std::vector<Notice> notices;

 private:
  std::complex<double> sample(double t, std::size_t e) {
    const double sigma = std::pow(10.0, 0.05 * noise_dbfs) * std::numbers::sqrt2 / 2.0;
    std::complex<double> x{sigma * normal_(random_), sigma * normal_(random_)};
    for (const Signal& signal : signals) {
      x += signal(t, e);
    }
    return receiver ? receiver(x, t, e) : x;
  }

  void play_block(std::size_t frames) {
    block_.resize(config_.elements, frames);
    block_.start = kStart + from_seconds(now_s()) + clock_error;
    block_.lost_frames_before = lost_;
    for (std::size_t f = 0; f < frames; ++f) {
      const double t = static_cast<double>(frame_ + f) / config_.rate_hz;
      for (std::size_t e = 0; e < config_.elements; ++e) {
        put(sample(t, e), e, f);
      }
    }
    frame_ += frames;
    lost_ = 0;
    list_.clear();
    detector.process(block_, list_);
    keep();
  }

  /// As a converter would: nothing past full scale, and what would be is counted.
  void put(std::complex<double> x, std::size_t e, std::size_t f) {
    const std::complex<double> kept{std::clamp(x.real(), -1.0, 1.0),
                                    std::clamp(x.imag(), -1.0, 1.0)};
    block_.clipped[e] += kept != x ? 1 : 0;
    block_.element(e)[f] = std::complex<float>(kept);
  }

  void keep() {
    looks.insert(looks.end(), list_.begin(), list_.end());
    notices.insert(notices.end(), list_.notices.begin(), list_.notices.end());
  }

  DetectorConfig config_;
  std::mt19937_64 random_;
  std::normal_distribution<double> normal_;
  SampleBlock block_;
  LookList list_;
  std::size_t frame_ = 0;
  std::uint64_t lost_ = 0;
};

}  // namespace fixwright::agent::detect::air
