#pragma once
/// Identities, as in the database.

#include <compare>
#include <cstdint>

#include "server/base/time.hpp"

namespace fixwright {

/// Given once by the server when a station is first configured; 1 and up. Orders bearings of
/// one instant, so it never changes.
using StationId = std::int32_t;
/// From the channel plan (1 to 999 999), or 1 000 000 + the raster slot of the frequency.
using ChannelId = std::int64_t;
/// One life of an agent's spool; sequences count within it. Random, not 0.
using StreamId = std::uint64_t;

/// Which emitter. The id is taken from the start of the transmission that gave birth to it
/// (its nanoseconds, then its ordinal), so a replay gives the same one.
struct EmitterKey {
  ChannelId channel = 0;
  std::int64_t id = 0;
  friend auto operator<=>(const EmitterKey&, const EmitterKey&) = default;
};

/// Which transmission: activity on a channel, across stations.
struct TransmissionKey {
  ChannelId channel = 0;
  TimePoint start;
  friend auto operator<=>(const TransmissionKey&, const TransmissionKey&) = default;
};

/// Which fix: a transmission may carry several emitters, told apart by the ordinal.
struct FixKey {
  TransmissionKey transmission;
  std::int32_t ordinal = 0;  // 0 and up
  friend auto operator<=>(const FixKey&, const FixKey&) = default;
};

/// Which bearing, for ever.
struct BearingKey {
  StationId station = 0;
  StreamId stream = 0;
  std::uint64_t sequence = 0;  // 1 and up, within the stream
  friend auto operator<=>(const BearingKey&, const BearingKey&) = default;
};

}  // namespace fixwright
