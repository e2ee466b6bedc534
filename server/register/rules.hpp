#pragma once
/// What the register's verdict rests on, all of it an operator may set.

namespace fixwright::register_ {

struct RegisterRules {
  /// Share of the register's rows whose position is wrong. 0 to 0.5. Without it 2 % of licensed
  /// emitters alarm, with it 0.05 %.
  double wrong_row_share = 0.02;
  /// How far off a wrong row's position is, one axis. Metres, 100 to 100 000.
  double wrong_row_sigma_m = 3000.0;
  /// How many transmitters that are in no register one expects, per km^2 and channel. 1e-9 to 1.
  /// The larger, the sooner an emitter is called unregistered.
  double unknown_density_per_km2 = 1e-4;
  /// Chance that a licensed transmitter is on the air at all. Over 0, to 1.
  double activity = 1.0;
  /// A licence is a candidate where the emitter lies this close to its band. Hertz, 0 to 1e6.
  double frequency_tolerance_hz = 2000.0;
  /// Share of the transmitters on the air that send beside their entry's band. 0 to 0.5.
  double off_frequency_share = 0.005;
  /// How far beside it, counted from the tolerance. Hertz, 0 to 1e6. Less than the gap between
  /// neighbouring bands, or a mast's entry speaks for its neighbour.
  double frequency_reach_hz = 10'000.0;
  /// Share of the transmitters on the air whose entry has ended or not begun. 0 to 0.5.
  double out_of_validity_share = 0.02;
  /// A verdict is taken at this probability. 0.5 to 1, not 1 itself.
  double take_at = 0.95;
  /// And kept until its probability falls below this. 0.5 to take_at.
  double keep_above = 0.80;
  /// An emitter that moved by this many of its sigmas is decided again. 0.1 to 10.
  double moved_sigmas = 1.0;
  /// And one whose ellipse grew or shrank in area by this factor. 1.1 to 100.
  double area_factor = 2.0;
};

/// The least separation of an emitter from a licence's site that showed reliably (1 % false
/// alarms, 90 % detection): 4.2 times the total sigma. Say it where people read a verdict.
inline constexpr double kDistinguishableSigmas = 4.2;

}  // namespace fixwright::register_
