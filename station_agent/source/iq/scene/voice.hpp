#pragma once
/// One emitter on its way into the samples of one station.

#include <complex>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "station_agent/source/iq/scene/scene.hpp"
#include "station_agent/source/iq/scene/waveform.hpp"

namespace fixwright::agent::scene {

/// How far an element is behind the others, frames; see FaultKind::slip.
using Slips = std::vector<std::size_t>;

class Voice {
 public:
  /// Scene, station and emitter must outlive it. \param most  frames that add() ever gets, less
  /// any slip, which may reach kMostSlip.
  Voice(const Scene& scene, const SceneStation& station, const SceneEmitter& emitter,
        std::size_t most);

  static constexpr std::size_t kMostSlip = 4096;

  /// Adds the next frames, the first of which is at `start`, to each element's row.
  /// \param rows  elements x frames, element e from e * frames.
  void add(TimePoint start, std::span<std::complex<float>> rows, const Slips& slips);

 private:
  struct Ray {
    std::vector<std::complex<float>> weights;  // one an element
    double delay_frames = 0.0;
  };

  void aim(TimePoint at);
  void add_ray(double azimuth_deg, std::complex<double> amplitude, double delay_s);
  /// Makes the emitter's samples behind those that went before. \return whether any is on.
  bool make(TimePoint start, std::size_t frames);
  void fill_on(std::span<std::complex<float>> out);
  [[nodiscard]] std::span<const std::complex<float>> delayed(std::size_t frames,
                                                             double delay_frames);

  const Scene& scene_;
  const SceneStation& station_;
  const SceneEmitter& emitter_;
  std::unique_ptr<Waveform> waveform_;
  std::complex<double> turn_;  // of the carrier within the sampled band
  std::complex<double> step_;
  std::size_t history_ = 0;                   // frames kept from before
  std::size_t quiet_ = 0;                     // frames since the last that was on
  std::vector<std::complex<float>> samples_;  // history_ of before, then the newest
  std::vector<std::complex<float>> shifted_;
  std::vector<Ray> rays_;
  std::optional<TimePoint> aimed_at_;
};

}  // namespace fixwright::agent::scene
