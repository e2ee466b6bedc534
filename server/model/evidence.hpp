#pragma once
/// All that a report on an emitter rests on, as it is stored.

#include <optional>
#include <string>
#include <vector>

#include "server/base/geo.hpp"
#include "server/model/ids.hpp"

namespace fixwright {

/// A bearing by which anybody can find it in the database again.
struct BearingReference {
  ChannelId channel = 0;
  TimePoint start;          // cut to the microsecond
  std::int64_t stream = 0;  // as stored: the 64 bits read as signed
  std::uint64_t sequence = 0;
  std::string digest;  // SHA-256 of what was sent, hexadecimal; empty: no longer kept
  friend bool operator==(const BearingReference&, const BearingReference&) = default;
};

struct EvidenceBearing {
  BearingReference reference;
  std::string station;
  double azimuth_deg = 0.0;  // as sent
  double sigma_deg = 0.0;
  double residual_deg = 0.0;  // observed minus computed, [-180, 180)
  bool used = false;          // false: set aside
};

struct EvidenceStation {
  std::string name;
  GeoPoint position;
};

struct EvidenceEvent {
  TimePoint at;
  std::string kind;
  std::string text;
  std::string by;  // a person; empty: the server
};

struct EvidenceLicence {
  std::string id, holder, service;
  double frequency_hz = 0.0;
  double distance_m = 0.0;  // from the emitter's position
};

struct EmitterEvidence {
  EmitterKey key;
  std::string name;  // given by a person; may be empty
  std::string state, motion, grade;
  double frequency_hz = 0.0;
  TimePoint first_heard, last_heard;
  std::uint64_t bearings_ever = 0;
  std::vector<std::string> heard_by;
  GeoPoint position;
  double semi_major_m = 0.0, semi_minor_m = 0.0, orientation_deg = 0.0;
  double probability = 0.0;
  std::vector<std::vector<GeoPoint>> region;  // outer rings; none: there is no position
  std::string verdict, verdict_evidence;      // empty: not compared with the register
  double posterior = 0.0;

  TimePoint from, until;  // of what follows
  std::size_t fixes = 0;
  std::vector<EvidenceBearing> bearings;  // in the order of their start
  std::size_t bearings_left_out = 0;      // the oldest ones
  std::vector<EvidenceStation> stations;  // all of the network
  std::vector<EvidenceEvent> events;      // in their order
  std::vector<EvidenceLicence> licences;  // that may be on its frequency, the nearest first
};

}  // namespace fixwright
