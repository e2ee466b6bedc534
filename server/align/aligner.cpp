#include "server/align/aligner.hpp"

#include <algorithm>
#include <optional>
#include <utility>

namespace fixwright::align {

namespace {

std::vector<BearingKey> keys_of(const std::vector<Bearing>& bearings, const Segment& s) {
  std::vector<BearingKey> keys;
  keys.reserve(s.last - s.first);
  for (std::size_t i = s.first; i < s.last; ++i) keys.push_back(bearings[i].key);
  return keys;
}

Transmission transmission_of(ChannelId channel, const std::vector<Bearing>& bearings,
                             const Segment& s) {
  Transmission t;
  t.key = {channel, s.start};
  t.end = s.end;
  t.bearings.assign(bearings.begin() + static_cast<std::ptrdiff_t>(s.first),
                    bearings.begin() + static_cast<std::ptrdiff_t>(s.last));
  return t;
}

}  // namespace

Aligner::Aligner(const AlignRules& rules)
    : rules_(rules), lateness_(from_seconds(rules.lateness_s)), watermark_(rules) {}

TimePoint Aligner::final_before() const { return watermark_.value() - lateness_; }

void Aligner::bearing(const Bearing& bearing) {
  watermark_.message(bearing.key.station);
  if (bearing.start < final_before()) {
    late_.push_back(bearing);
    return;
  }
  PendingChannel& channel = channels_[bearing.channel];
  auto& held = channel.bearings;
  const auto place = std::lower_bound(held.begin(), held.end(), bearing, EventOrder{});
  if (place != held.end() && place->start == bearing.start && place->key == bearing.key) return;
  held.insert(place, bearing);
  channel.dirty_from = std::min(channel.dirty_from, bearing.start);
}

ResultState Aligner::state_of(const Segment& segment) const {
  // Admitted bearings start at final_before() or later; from closes_at on none can join.
  if (final_before() >= segment.closes_at) return ResultState::final;
  if (watermark_.value() >= segment.closes_at) return ResultState::revised;
  return ResultState::provisional;
}

AlignerOutput Aligner::take() {
  AlignerOutput out;
  out.watermark = watermark_.value();
  out.late = std::exchange(late_, {});
  for (auto it = channels_.begin(); it != channels_.end();) {
    PendingChannel& channel = it->second;
    const bool dirty = channel.dirty_from != TimePoint::max();
    if (dirty || out.watermark >= channel.next_change) {
      ChannelChange change = take_channel(it->first, channel);
      if (!change.transmissions.empty()) out.channels.push_back(std::move(change));
    }
    it = channel.bearings.empty() ? channels_.erase(it) : std::next(it);
  }
  return out;
}

ChannelChange Aligner::take_channel(ChannelId id, PendingChannel& channel) {
  ChannelChange change{id, {}};
  const auto segments = cut_into_segments(channel.bearings, rules_);
  std::set<TimePoint> present;
  for (const Segment& s : segments) {
    present.insert(s.start);
    Shown& shown = channel.shown[s.start];
    const ResultState state = state_of(s);
    const bool settled = shown.revision > 0 && shown.state == state;
    if (settled && s.closes_at <= channel.dirty_from) continue;
    auto content = keys_of(channel.bearings, s);
    if (settled && shown.content == content) continue;
    shown = {shown.revision + 1, state, std::move(content)};
    change.transmissions.push_back(transmission_of(id, channel.bearings, s));
    change.transmissions.back().state = state;
    change.transmissions.back().revision = shown.revision;
  }
  withdraw_vanished(id, channel, present, change);
  forget_final(channel, segments);
  channel.next_change = next_change(segments);
  channel.dirty_from = TimePoint::max();
  return change;
}

void Aligner::withdraw_vanished(ChannelId id, PendingChannel& channel,
                                const std::set<TimePoint>& present, ChannelChange& change) const {
  for (auto& [start, shown] : channel.shown) {
    if (present.contains(start) || shown.state == ResultState::withdrawn) continue;
    shown = {shown.revision + 1, ResultState::withdrawn, {}};
    Transmission tombstone;
    tombstone.key = {id, start};
    tombstone.end = start;
    tombstone.state = ResultState::withdrawn;
    tombstone.revision = shown.revision;
    change.transmissions.push_back(std::move(tombstone));
  }
  std::sort(change.transmissions.begin(), change.transmissions.end(),
            [](const Transmission& a, const Transmission& b) { return a.key < b.key; });
}

void Aligner::forget_final(PendingChannel& channel, const std::vector<Segment>& segments) const {
  std::size_t forgotten = 0;
  for (const Segment& s : segments) {
    if (state_of(s) == ResultState::final) forgotten = s.last;
  }
  channel.bearings.erase(channel.bearings.begin(),
                         channel.bearings.begin() + static_cast<std::ptrdiff_t>(forgotten));
  const TimePoint keep_from =
      channel.bearings.empty() ? TimePoint::max() : channel.bearings.front().start;
  channel.shown.erase(channel.shown.begin(),
                      channel.shown.lower_bound(std::min(keep_from, final_before())));
}

TimePoint Aligner::next_change(const std::vector<Segment>& segments) const {
  TimePoint next = TimePoint::max();
  for (const Segment& s : segments) {
    const ResultState state = state_of(s);
    if (state == ResultState::provisional) next = std::min(next, s.closes_at);
    if (state == ResultState::revised) next = std::min(next, s.closes_at + lateness_);
  }
  return next;
}

std::size_t Aligner::pending() const {
  std::size_t count = 0;
  for (const auto& [id, channel] : channels_) count += channel.bearings.size();
  return count;
}

}  // namespace fixwright::align
