#pragma once

namespace fixwright::track {

/// When bearings belong to an emitter, and how an emitter lives.
struct TrackRules {
  double gate_sigmas = 3.0;       // a bearing farther from the prediction is not the emitter's; > 0
  double birth_chi_square = 9.0;  // three stations of a new emitter must agree this well; > 0
  double birth_span_s = 6.0;      // and their bearings lie this close together; > 0
  int confirm_bearings = 6;       // to believe an emitter; >= 1
  int confirm_looks = 2;          // transmissions with three stations or more; >= 1
  double confirm_look_share = 0.05;  // of those in which it was heard at all; 0 to 1
  /// What one station alone hears is shown after so many transmissions; >= 1.
  int line_transmissions = 3;

  double silent_s = 600.0;            // unheard for this long: silent; > 0
  double drop_tentative_s = 600.0;    // unheard so long for each transmission heard: dropped; > 0
  double retire_s = 30.0 * 86400.0;   // a confirmed one unheard so long is retired; > silent_s
  double relocate_s = 86400.0;        // silent so long while a new one speaks: it moved; > silent_s
  double lost_track_sigma_m = 5.0e3;  // a mover less sure of its place claims nothing; > 0

  double moving_log_ratio = 12.0;      // log likelihood ratio that decides still or moving; > 0
  double acceleration_m_per_s2 = 0.5;  // manoeuvres of a mover, one sigma after one second; > 0
  double straight_m_per_s2 = 0.1;      // the same, of one not yet known to move; > 0
  double speed_sigma_m_per_s = 20.0;   // of a new emitter, before anything is known; > 0
  double merge_chi_square = 5.99;      // two places closer than this, 2 degrees of freedom, are one
};

/// What was heard too little to be believed is waited for in steps of drop_tentative_s, one for
/// each transmission in which it was heard; so many at most.
inline constexpr unsigned kMaxPatience = 144;

}  // namespace fixwright::track
