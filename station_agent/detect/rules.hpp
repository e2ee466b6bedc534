#pragma once
/// What is watched, and when something counts as a signal.

#include <string>
#include <vector>

#include "server/base/time.hpp"

namespace fixwright::agent::detect {

struct WatchedChannel {
  double frequency_hz = 0.0;  // its middle
  double bandwidth_hz = 0.0;  // whole width, > 0
};

/// SNR here is signal power over noise power within the channel's whole bandwidth, mean of the
/// elements, over one analysis step.
struct DetectionRules {
  double open_snr_db = 3.0;                                  // -10 to 40
  double close_snr_db = 0.0;                                 // below open_snr_db, -13 to 40
  Duration hang = std::chrono::milliseconds{8};              // quiet that ends it; 0 to 5 s
  Duration shortest = std::chrono::milliseconds{10};         // what is shorter is no signal
  Duration integration = std::chrono::milliseconds{200};     // of a look; 10 ms to 60 s
  Duration step = std::chrono::microseconds{2500};           // wanted analysis step; 1 to 20 ms
  Duration floor_interval = std::chrono::milliseconds{100};  // of one noise floor; 20 ms to 10 s
  double occupied_share = 0.99;                              // 1 - beta, [0.5, 0.9999]
  double xdb = 26.0;                                         // of the x-dB bandwidth, 3 to 60
  double overload_share = 1e-3;                              // of samples clipped, (0, 1]
  double dead_db = 20.0;  // this much less noise than the others: dead; 6 to 60
  double deaf_db = 20.0;  // this much less of a strong signal than the others: deaf; 6 to 60
};

struct DetectorConfig {
  double rate_hz = 0.0;  // complex samples of each element a second, 1e3 to 1e8
  double centre_hz = 0.0;
  std::size_t elements = 0;  // 1 to 32
  std::vector<WatchedChannel> channels;
  DetectionRules rules;
};

/// One line for each thing in it that cannot be; none: a Detector can be made of it.
std::vector<std::string> problems_of(const DetectorConfig& config);

}  // namespace fixwright::agent::detect
