#pragma once
/// Identities between the model and bigint columns.

#include "server/model/ids.hpp"

namespace fixwright::store {

/// The column transmission_id: exact, where timestamptz keeps only microseconds.
inline std::int64_t transmission_id(const TransmissionKey& key) {
  return key.start.time_since_epoch().count();
}

inline TransmissionKey transmission_key(ChannelId channel, std::int64_t id) {
  return {channel, TimePoint{Duration{id}}};
}

/// PostgreSQL has no unsigned type: the same 64 bits, read as signed.
inline std::int64_t as_stored(std::uint64_t value) { return static_cast<std::int64_t>(value); }

inline std::uint64_t from_stored(std::int64_t value) { return static_cast<std::uint64_t>(value); }

/// Microseconds since 1970, rounded down: what timestamptz can hold of a time.
inline std::chrono::sys_time<std::chrono::microseconds> to_microseconds(TimePoint t) {
  return std::chrono::floor<std::chrono::microseconds>(t);
}

}  // namespace fixwright::store
