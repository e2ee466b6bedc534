#pragma once
/// Everything that the samples and the array can tell, in the order of the screen.

#include <optional>
#include <vector>

#include "station_agent/check/finding.hpp"
#include "station_agent/check/wave_checks.hpp"
#include "station_agent/source/iq/chain/iq_source.hpp"

namespace fixwright::agent::check {

/// What is asked of the samples.
struct SampleQuestion {
  iq::IqSourceConfig config{};
  std::vector<PlannedChannel> plan{};  // the server's, where the configuration lists no channel
  std::optional<KnownTransmitter> transmitter{};
  std::optional<GeoPoint> station{};  // its place, where it is known
  Duration lasts = std::chrono::seconds{2};
};

/// Reads the stream, for so long, and judges it.
std::vector<Finding> check_samples_of(iq::SampleStream& stream, const SampleQuestion& question);

/// In their place, for sources that have none.
std::vector<Finding> no_samples();

}  // namespace fixwright::agent::check
