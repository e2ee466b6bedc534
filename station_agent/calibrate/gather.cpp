#include "station_agent/calibrate/gather.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <bit>
#include <cmath>

namespace fixwright::agent::calibrate {

namespace {

using Looks = std::vector<const detect::ChannelLook*>;

Looks good_looks(const std::vector<detect::ChannelLook>& looks, Gathered& gathered) {
  Looks good;
  for (const detect::ChannelLook& look : looks) {
    ++gathered.looks;
    if (look.faulty_elements != 0) gathered.faulty = std::countr_zero(look.faulty_elements);
    gathered.overloaded += look.overload ? 1 : 0;
    if (!look.overload && look.faulty_elements == 0) good.push_back(&look);
  }
  return good;
}

/// The mean of some looks, each as heavy as it has snapshots.
array::SpatialCovariance mean_of(const Looks& looks) {
  array::SpatialCovariance mean;
  for (const detect::ChannelLook* look : looks) mean.snapshots += look->snapshots;
  for (const detect::ChannelLook* look : looks) {
    const double share = look->snapshots / mean.snapshots;
    mean.frequency_hz += share * look->frequency_hz;
    if (look == looks.front()) {
      mean.matrix = share * look->covariance;
      mean.noise_power = share * look->noise_power;
      continue;
    }
    mean.matrix += share * look->covariance;
    mean.noise_power += share * look->noise_power;
  }
  return mean;
}

/// In order of time, of nearly equal snapshots, none with fewer than can be judged.
void fill_parts(const Looks& good, Gathered& gathered) {
  const double most = std::floor(gathered.snapshots / kLeastSnapshots);
  const double wanted = gathered.snapshots / std::clamp(most, 1.0, static_cast<double>(kParts));
  double left = gathered.snapshots;
  double held = 0.0;
  Looks part;
  for (const detect::ChannelLook* look : good) {
    part.push_back(look);
    held += look->snapshots;
    left -= look->snapshots;
    // By a hair less is as good; what is too little for a part of its own goes with the last.
    const bool full = held > 0.999 * wanted && left >= kLeastSnapshots;
    if (!full && look != good.back()) continue;
    gathered.parts.push_back(mean_of(part));
    part.clear();
    held = 0.0;
  }
}

}  // namespace

Gathered gather(const std::vector<detect::ChannelLook>& looks) {
  Gathered gathered;
  const Looks good = good_looks(looks, gathered);
  double snr = 0.0;
  for (const detect::ChannelLook* look : good) {
    gathered.snapshots += look->snapshots;
    snr += std::pow(10.0, look->snr_db / 10.0);
  }
  if (good.empty() || gathered.snapshots < kLeastSnapshots) return gathered;
  gathered.snr_db = 10.0 * std::log10(snr / static_cast<double>(good.size()));
  fill_parts(good, gathered);
  return gathered;
}

std::string gathering_problem(const Gathered& g, double frequency_hz, double lasted_s) {
  const std::string at = fmt::format("{:.6f} MHz", frequency_hz / 1e6);
  if (g.faulty) {
    return fmt::format("{}: element {} is stuck, dead or deaf: mend it, see what check says", at,
                       *g.faulty + 1);
  }
  if (g.looks == 0) {
    return fmt::format("{}: no signal in {:.1f} s: is the reference on, and connected?", at,
                       lasted_s);
  }
  if (2 * g.overloaded > g.looks) {
    return fmt::format("{}: overloaded in {} of {} looks: less gain, or a weaker reference", at,
                       g.overloaded, g.looks);
  }
  if (g.snapshots < kLeastSnapshots) {
    return fmt::format("{}: {:.0f} snapshots are too few, {:.0f} are needed: more --seconds", at,
                       g.snapshots, kLeastSnapshots);
  }
  return {};
}

}  // namespace fixwright::agent::calibrate
