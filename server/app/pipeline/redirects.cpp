#include "server/app/pipeline/redirects.hpp"

#include <algorithm>
#include <map>
#include <set>

namespace fixwright::app {

namespace {

using Members = std::vector<const Emitter*>;

bool lives(const Emitter& e) { return e.state != EmitterState::retired; }

int rank(EmitterState s) {
  switch (s) {
    case EmitterState::confirmed:
      return 3;
    case EmitterState::silent:
      return 2;
    case EmitterState::tentative:
      return 1;
    case EmitterState::retired:
      break;
  }
  return 0;
}

/// The one whose place and motion count.
const Emitter& speaker(const Members& members, double silent_s) {
  const auto any_lives =
      std::any_of(members.begin(), members.end(), [](const Emitter* e) { return lives(*e); });
  const auto counts = [&](const Emitter* e) { return lives(*e) || !any_lives; };
  TimePoint newest{};
  for (const Emitter* e : members) {
    if (counts(e)) newest = std::max(newest, e->last_heard);
  }
  const Emitter* best = nullptr;
  for (const Emitter* e : members) {
    if (!counts(e) || e->last_heard < newest - from_seconds(silent_s)) continue;
    if (best == nullptr || e->bearings > best->bearings) best = e;
  }
  return *best;
}

void add_counts(Emitter& one, const Emitter& member) {
  one.bearings += member.bearings;
  one.looks += member.looks;
  one.frequency_hz += (member.frequency_hz - one.frequency_hz) *
                      (static_cast<double>(member.bearings) / static_cast<double>(one.bearings));
  one.first_heard = std::min(one.first_heard, member.first_heard);
  one.last_heard = std::max(one.last_heard, member.last_heard);
  if (rank(member.state) > rank(one.state)) one.state = member.state;
  one.stations.insert(one.stations.end(), member.stations.begin(), member.stations.end());
}

Emitter as_one(EmitterKey key, const Members& members, double silent_s) {
  Emitter one = speaker(members, silent_s);
  one.bearings = 0;
  one.looks = 0;
  one.stations.clear();
  for (const Emitter* member : members) add_counts(one, *member);
  std::sort(one.stations.begin(), one.stations.end());
  one.stations.erase(std::unique(one.stations.begin(), one.stations.end()), one.stations.end());
  one.key = key;
  return one;
}

}  // namespace

std::vector<Emitter> show_as_one(std::vector<Emitter> emitters, const Redirects& redirects,
                                 double silent_s) {
  std::map<EmitterKey, Members> groups;
  std::set<EmitterKey> going;
  for (const Emitter& e : emitters) {
    const auto found = redirects.find(e.key);
    groups[found == redirects.end() ? e.key : found->second].push_back(&e);
    if (found != redirects.end()) going.insert(e.key);
  }
  std::map<EmitterKey, Emitter> shown;
  for (const auto& [key, members] : groups) {
    const bool alone = members.size() == 1 && members.front()->key == key;
    shown.insert_or_assign(key, alone ? *members.front() : as_one(key, members, silent_s));
  }
  for (const Emitter& e : emitters) {
    if (!going.contains(e.key)) continue;
    shown.insert_or_assign(e.key, e).first->second.state = EmitterState::retired;
  }
  std::vector<Emitter> result;
  for (auto& [key, e] : shown) result.push_back(std::move(e));
  return result;
}

}  // namespace fixwright::app
