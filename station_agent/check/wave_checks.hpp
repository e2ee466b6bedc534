#pragma once
/// What the signals in the samples say of the array: coherence, order, orientation.

#include <optional>
#include <string>
#include <string_view>

#include "server/base/geo.hpp"
#include "server/base/result.hpp"
#include "station_agent/array/azimuth_estimator.hpp"
#include "station_agent/check/finding.hpp"
#include "station_agent/check/survey.hpp"
#include "station_agent/source/iq/chain/iq_source.hpp"

namespace fixwright::agent::check {

/// A transmitter whose place is known.
struct KnownTransmitter {
  GeoPoint place;
  double frequency_hz = 0.0;
};
/// From "LAT,LON,FREQ_HZ": degrees WGS84 and hertz; or one line of what is wrong.
Result<KnownTransmitter> parse_transmitter(std::string_view text);

/// How it lies from the station.
struct TrueLine {
  double azimuth_deg = 0.0;  // from true north, by the geodesic
  double range_m = 0.0;
};
TrueLine line_to(const GeoPoint& station, const GeoPoint& transmitter);

/// Whether the elements share one phase: the strongest signal of the survey must be a wave of this
/// array. A missing calibration is allowed for.
Finding check_coherence(const Survey& survey, const array::Manifold& manifold,
                        const iq::IqSourceConfig& config);

/// What was heard of the known transmitter.
struct KnownSignal {
  TrueLine line;
  const detect::ChannelLook* look = nullptr;  // null: nothing was heard there
};

/// Order of the elements and orientation of the array. Without a known transmitter: not
/// applicable.
Finding check_order(const std::optional<KnownSignal>& known, const array::Manifold& manifold,
                    array::EstimatorRules rules);

}  // namespace fixwright::agent::check
