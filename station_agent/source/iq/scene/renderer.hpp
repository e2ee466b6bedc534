#pragma once
/// A scene as one station's receivers deliver it, frame after frame.

#include <complex>
#include <cstdint>
#include <memory>
#include <vector>

#include "station_agent/detect/sample_block.hpp"
#include "station_agent/source/iq/scene/chance.hpp"
#include "station_agent/source/iq/scene/scene.hpp"
#include "station_agent/source/iq/scene/voice.hpp"

namespace fixwright::agent::scene {

/// Same scene, station and start: same samples, however they are asked for.
class Renderer {
 public:
  /// \pre scene.station(station) is there; its geometry has no problem.
  Renderer(Scene scene, const std::string& station, TimePoint start);
  Renderer(const Renderer&) = delete;
  Renderer& operator=(const Renderer&) = delete;

  /// The next frames, `wanted` or, before a drop or a clock step, fewer. \pre wanted > 0.
  void render(std::size_t wanted, SampleBlock& block);

  /// When the frame that comes next was received, whatever a clock step makes of it.
  [[nodiscard]] TimePoint next() const { return time_of(next_frame_); }
  [[nodiscard]] const SceneStation& station() const { return *station_; }

 private:
  [[nodiscard]] TimePoint time_of(std::uint64_t frame) const;
  [[nodiscard]] std::uint64_t frame_of(const Fault& fault) const;
  [[nodiscard]] std::uint64_t frames_until_cut() const;
  void pass_cuts(SampleBlock& block);
  void take(std::size_t frames, SampleBlock* block, std::size_t at);
  void make_chunk();
  [[nodiscard]] std::uint64_t chunk_end() const;
  void break_signals(std::uint64_t first, std::size_t frames);
  void break_elements(std::size_t frames);
  void add_noise(std::size_t frames);
  void quantise(std::size_t frames);

  Scene scene_;
  const SceneStation* station_;
  TimePoint start_;
  std::uint64_t next_frame_ = 0;   // that render gives next
  std::uint64_t chunk_first_ = 0;  // frame of the chunk's first
  std::size_t chunk_frames_ = 0;
  std::size_t chunk_taken_ = 0;
  Duration clock_ahead_{};
  std::vector<bool> cut_passed_;  // of each fault
  std::vector<std::unique_ptr<Voice>> voices_;
  std::vector<Chance> noise_;               // of each element
  std::vector<std::complex<float>> chunk_;  // elements x chunk_frames_
  std::vector<bool> full_;                  // of each sample in it: at the scale's end
};

}  // namespace fixwright::agent::scene
