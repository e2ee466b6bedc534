#pragma once
/// From a stream of samples to a calibration of the array, or one line why there is none.

#include <optional>
#include <string>
#include <vector>

#include "station_agent/array/calibration_watch.hpp"
#include "station_agent/calibrate/reference.hpp"
#include "station_agent/source/iq/chain/iq_source.hpp"

namespace fixwright::agent::calibrate {

struct CalibrationQuestion {
  iq::IqSourceConfig config{};  // its calibration is the one in use
  std::vector<Reference> references{};
  Duration lasts = std::chrono::seconds{10};
  TimePoint date{};
  std::optional<double> temperature_c{};
};

enum class Outcome {
  measured,
  not_measured,  // the samples don't give it
  unusable,      // what is asked for can't be: configuration or options
};

struct HeardReference {
  Reference reference;
  double snr_db = 0.0;
  double snapshots = 0.0;
};

struct Measurement {
  Outcome outcome = Outcome::measured;
  std::string refusal{};  // one line unless measured
  array::ArrayCalibration calibration{};
  std::vector<HeardReference> heard{};
  double delay_sigma_s = 0.0;  // one standard deviation, about; 0: no delays, one frequency only
};

/// Reads the stream for so long. All references are measured in one band at once: receivers that
/// are tuned anew start with phases of their own. A result holds beyond the measured frequencies
/// by 0.5 %, or less, so that the error of the delays makes at most 3 deg there.
Measurement measure(iq::SampleStream& stream, const CalibrationQuestion& question);

}  // namespace fixwright::agent::calibrate
