#pragma once

namespace fixwright::track {

/// When bearings belong to an emitter, and how an emitter lives.
struct TrackRules {
  double gate_sigmas = 3.0;       // a bearing farther from the prediction is not the emitter's; > 0
  double birth_chi_square = 9.0;  // a new emitter's fix must fit its bearings this well; > 0
  double birth_span_s = 6.0;      // and they must lie this close together; > 0
  int confirm_bearings = 6;       // to believe an emitter; >= 1
  int confirm_looks = 2;          // transmissions with three stations or more; >= 1

  double silent_s = 600.0;           // unheard for this long: silent; > 0
  double drop_tentative_s = 600.0;   // a tentative one heard once is dropped after this; > 0
  double retire_s = 30.0 * 86400.0;  // any other is retired after this; > silent_s

  double moving_log_ratio = 12.0;      // log likelihood ratio that decides still or moving; > 0
  double acceleration_m_per_s2 = 0.5;  // one standard deviation of a mover's manoeuvres; > 0
  double speed_sigma_m_per_s = 20.0;   // of a new emitter, before anything is known; > 0
  double merge_chi_square = 5.99;      // two places closer than this (2 degrees of freedom) are one
};

}  // namespace fixwright::track
