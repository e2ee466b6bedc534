#pragma once

#include <vector>

namespace fixwright::track {

inline constexpr int kNobody = -1;

/// How much of a bearing is an emitter's.
struct Share {
  int emitter = kNobody;     // index into ChannelTracks::emitters
  double azimuth_deg = 0.0;  // the azimuth believed, as sent: the main one or an alternative
  double probability = 0.0;
};

/// Whose one bearing is.
struct Claim {
  int emitter = kNobody;  // who most likely sent it; nobody known, where that is likelier
  double azimuth_deg = 0.0;
  std::vector<Share> shares;  // by emitter; where two look alike from a station, both have one

  /// Wholly this emitter's.
  static Claim of(int emitter, double azimuth_deg) {
    return {emitter, azimuth_deg, {{emitter, azimuth_deg, 1.0}}};
  }
};

}  // namespace fixwright::track
