#pragma once
/// Which watched channels are active, since when, and how their signals stand on the elements.
///
/// The samples are cut into windows that overlap by half and are transformed once for all channels
/// (FFT, Hann window); a channel is its bins. An analysis step joins some windows. In each step
/// each channel's power is compared with the noise floor: the lower quartile of the bins round it
/// that no open channel covers (noise_floor.hpp).
/// Start and end are good to one analysis step.

#include <memory>
#include <span>
#include <vector>

#include "server/base/time.hpp"
#include "station_agent/detect/look.hpp"
#include "station_agent/detect/rules.hpp"
#include "station_agent/detect/sample_block.hpp"

namespace fixwright::agent::detect {

/// How a channel stands after the last step: for people who watch.
struct ChannelState {
  bool active = false;
  double level_dbfs = 0.0;  // of all that is in the channel, noise too
  double floor_dbfs = 0.0;  // noise in the channel's bandwidth
};

class Detector {
 public:
  /// \pre problems_of(config) is empty.
  explicit Detector(const DetectorConfig& config);
  ~Detector();
  Detector(const Detector&) = delete;
  Detector& operator=(const Detector&) = delete;

  /// Takes a block of any length and appends what it led to. Allocates nothing once every channel
  /// has been active. A block of another number of elements than the configuration's is our bug.
  void process(const SampleBlock& block, LookList& out);

  /// The stream has ended: closes what is open, as cut. process() may follow with a new stream.
  void finish(LookList& out);

  /// No later look starts before this. Before the first block: the epoch.
  [[nodiscard]] TimePoint low_watermark() const;

  [[nodiscard]] std::span<const ChannelState> channels() const;
  /// Bit e: element e is stuck, dead or deaf now.
  [[nodiscard]] std::uint32_t faulty_elements() const;
  /// Noise of each element, dBFS in the whole sampled band; empty before the first noise floor.
  [[nodiscard]] std::span<const double> element_noise_dbfs() const;

  [[nodiscard]] double bin_hz() const;
  [[nodiscard]] Duration step() const;

 private:
  class Implementation;
  std::unique_ptr<Implementation> implementation_;
};

}  // namespace fixwright::agent::detect
