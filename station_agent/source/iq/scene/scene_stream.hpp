#pragma once
/// A scene as a stream of samples.

#include <optional>
#include <string>

#include "server/base/clock.hpp"
#include "station_agent/source/iq/sample_stream.hpp"
#include "station_agent/source/iq/scene/renderer.hpp"

namespace fixwright::agent::scene {

struct SceneStreamConfig {
  Scene scene;
  std::string station;             // of the scene
  std::optional<TimePoint> start;  // absent: now, and as time goes by; else as fast as it is read
  Duration lasts{};                // 0: for ever
  Duration block = std::chrono::milliseconds{10};
  bool tell_array = true;  // whether the stream tells where its elements stand
};

class SceneStream final : public iq::SampleStream {
 public:
  /// \pre the scene has the station. The clock must outlive the stream.
  SceneStream(SceneStreamConfig config, const Clock& clock);

  [[nodiscard]] const iq::StreamFormat& format() const override { return format_; }
  iq::ReadOutcome read(SampleBlock& block, Duration patience) override;

 private:
  [[nodiscard]] bool wait_for_block(Duration patience) const;
  [[nodiscard]] bool is_over() const;
  std::uint64_t catch_up();

  SceneStreamConfig config_;
  const Clock& clock_;
  iq::StreamFormat format_;
  TimePoint begun_;
  std::optional<Renderer> renderer_;
  std::size_t block_frames_ = 0;
};

}  // namespace fixwright::agent::scene
