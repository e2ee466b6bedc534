#pragma once
/// Real samples become complex ones of half the rate, so that a signal appears once and not
/// mirrored too: its mirror image would have the opposite azimuth.
///
/// The band 0 to rate/2 of the real samples is moved down by rate/4 and cut out by a half-band
/// filter. A frequency f of the real samples stands at f - rate/4 afterwards. A carrier of
/// amplitude 1 stays one.
/// Accuracy: within 0.02 to 0.48 of the rate the level is right to 0.1 dB and the image lies
/// 50 dB below (tests/unit/station_agent/iq/iq_input_convert_test.cpp).

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

namespace fixwright::agent::iq {

class AnalyticFilter {
 public:
  AnalyticFilter();

  /// Real samples by which the middle of the filter lags: output 0 belongs to the moment of
  /// input -delay_frames().
  [[nodiscard]] static std::size_t delay_frames();
  /// Forgets what came before: after a gap.
  void reset();
  /// `out` has in.size() / 2 samples. \pre in.size() is even.
  void run(std::span<const float> in, std::complex<float>* out);

 private:
  std::vector<float> taps_;  // of the even samples, newest first, signs of the rotation in them
  std::vector<float> even_;  // even samples from before, then those of the block
  std::vector<float> odd_;
  bool negative_ = false;  // sign of the next output's rotation
};

}  // namespace fixwright::agent::iq
