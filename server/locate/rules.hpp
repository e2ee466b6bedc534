#pragma once
/// What a cross-fix must satisfy. Every number has a default, a range and a reason; configuration
/// keys carry the same names (locate.min_crossing_deg …).

namespace fixwright::locate {

struct LocateRules {
  /// Smallest angle at which bearings may cross. Degrees, 1 to 45. The long axis of the ellipse
  /// grows as 1 / sin of it: at 5 degrees it is 11 times the short one.
  double min_crossing_deg = 5.0;
  /// A fix farther than this from any station that supports it is refused. Metres, 1e3 to 1.9e7.
  /// Past a quarter of the earth the likelihood can run to the antipode.
  double max_range_m = 1.0e6;
  /// A rival place less likely than the fix by less than this makes it ambiguous. Nats, 0 to 20.
  double min_rival_gap_nats = 3.0;
  /// Share of bearings that are gross errors (reflections, other signals), 0.001 to 0.5.
  double gross_error_share = 0.05;
  /// Where only three stations of more agree, chance may have made them: least evidence that it
  /// did not. Nats, 0 to 10. At 2.8 about one such fix in seventeen would be chance,
  /// were that as common as not. Measured with the gap: tests/unit/locate/gross_error_test.cpp.
  double min_bare_evidence_nats = 2.8;
  /// Site floor of a station that is not configured. Degrees, 0 to 30.
  double default_site_sigma_deg = 1.0;
  /// A fix whose chi-square is less probable than this is graded odd, and its region grows by the
  /// square root of chi-square over its degrees of freedom. 0 to 0.1.
  double odd_p_value = 0.01;
  /// A region that reaches max_range_m says a direction, not a place: refused as unbounded unless
  /// this is set. The region itself is in the answer either way.
  bool accept_open_region = false;
  /// Most emitters looked for in one transmission, 1 to 4.
  int max_emitters = 3;
  /// Share of an emitter's transmissions that a station hears, 0.5 to 0.99; and directions that a
  /// station shows without an emitter there, 0.01 to 3 a transmission. They weigh one emitter more
  /// against chance.
  double detection_share = 0.9;
  double clutter_rays = 0.3;
  /// Emitters are expected this near the stations. Metres, 1e3 to 1e7. A prior, no limit.
  double expected_radius_m = 1.0e5;
};

}  // namespace fixwright::locate
