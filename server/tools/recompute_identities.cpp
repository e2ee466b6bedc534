#include "server/tools/recompute_identities.hpp"

#include <algorithm>
#include <tuple>
#include <utility>

namespace fixwright::tools {

namespace {

/// Bearings compared at a time: large enough for the statement's cost to be shared.
constexpr std::size_t kPiece = 5000;

using Pair = std::pair<EmitterKey, EmitterKey>;  // of now, of before

/// The most bearings first, then the same key, then the lowest keys.
std::vector<Pair> by_likeness(const store::SharedBearings& shared) {
  std::vector<std::tuple<std::size_t, bool, Pair>> counted;
  for (const auto& [pair, count] : shared) {
    counted.emplace_back(count, pair.first == pair.second, pair);
  }
  std::sort(counted.begin(), counted.end(), [](const auto& a, const auto& b) {
    return std::tie(std::get<0>(b), std::get<1>(b), std::get<2>(a)) <
           std::tie(std::get<0>(a), std::get<1>(a), std::get<2>(b));
  });
  std::vector<Pair> pairs;
  for (const auto& [count, same, pair] : counted) pairs.push_back(pair);
  return pairs;
}

}  // namespace

Identities identities_of(const store::SharedBearings& shared, const std::set<EmitterKey>& heard,
                         const std::set<EmitterKey>& known) {
  Identities called;
  std::set<EmitterKey> taken;
  for (const auto& [now, before] : by_likeness(shared)) {
    if (called.count(now) == 0 && taken.insert(before).second) called.emplace(now, before);
  }
  for (const EmitterKey& now : heard) {
    if (called.count(now) > 0) continue;
    EmitterKey free = now;
    const auto others = [&] {
      return free != now && (known.count(free) > 0 || heard.count(free) > 0);
    };
    while (taken.count(free) > 0 || others()) ++free.id;
    taken.insert(free);
    called.emplace(now, free);
  }
  std::erase_if(called, [](const auto& pair) { return pair.first == pair.second; });
  return called;
}

void HeardEmitters::take(const app::PipelineOutput& output) {
  for (const Emitter& e : output.emitters) heard_.insert(e.key);
  for (const Fix& f : output.fixes) {
    if (f.key.transmission.start < since_) continue;
    open_.erase(f.key);
    if (f.state == ResultState::final) add(f);
    if (f.state == ResultState::provisional || f.state == ResultState::revised) {
      open_.emplace(f.key, f);
    }
  }
}

Identities HeardEmitters::identities() {
  for (const auto& [key, fix] : open_) add(fix);
  open_.clear();
  compare();
  return identities_of(shared_, heard_, sink_.known());
}

void HeardEmitters::add(const Fix& fix) {
  if (!fix.emitter) return;
  for (const FixBearing& b : fix.bearings) {
    if (b.used) used_.push_back({fix.key.transmission, b.key, *fix.emitter});
  }
  if (used_.size() >= kPiece) compare();
}

void HeardEmitters::compare() {
  for (const auto& [pair, count] : sink_.shared(std::exchange(used_, {}))) shared_[pair] += count;
}

}  // namespace fixwright::tools
