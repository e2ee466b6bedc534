#pragma once
/// Chance by number, not by order: what is drawn for (seed, station, emitter, tick, purpose) is
/// the same in every agent, in every run, whatever else was drawn before.
/// The mixing function is splitmix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast splittable
/// pseudorandom number generators", OOPSLA 2014); the normal is Box and Muller's (1958), since
/// std::normal_distribution differs between libraries.

#include <cstdint>
#include <string_view>

namespace fixwright::agent {

enum class Purpose : std::uint64_t {
  phase,
  detection,
  noise,
  frequency,
  gross_error,
  gross_azimuth,
  clutter,
  clutter_channel,
  clutter_azimuth,
  clutter_time,
};

/// The same for a name on every machine (FNV-1a, 64 bit).
std::uint64_t hash_name(std::string_view name);

struct Draw {
  std::uint64_t seed = 0;
  std::uint64_t station = 0;  // hash_name
  std::uint64_t emitter = 0;  // hash_name; 0 for clutter
  std::int64_t tick = 0;

  [[nodiscard]] double uniform(Purpose purpose) const;  // [0, 1)
  [[nodiscard]] double normal(Purpose purpose) const;   // mean 0, variance 1
 private:
  [[nodiscard]] std::uint64_t bits(Purpose purpose, std::uint64_t part) const;
};

}  // namespace fixwright::agent
