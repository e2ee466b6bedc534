#include "server/app/pipeline/channel_history.hpp"

#include <algorithm>
#include <iterator>
#include <utility>

namespace fixwright::app {

std::size_t ChannelHistory::place_of(const TransmissionKey& key) const {
  const auto at = std::lower_bound(
      steps_.begin(), steps_.end(), key,
      [](const HistoryStep& s, const TransmissionKey& k) { return s.transmission.key < k; });
  return static_cast<std::size_t>(at - steps_.begin());
}

/// \return false where only the state has changed: nothing has to be folded again.
bool ChannelHistory::place(const Transmission& transmission) {
  const std::size_t index = place_of(transmission.key);
  const auto at = steps_.begin() + static_cast<std::ptrdiff_t>(index);
  const bool known = at != steps_.end() && at->transmission.key == transmission.key;
  if (transmission.state == ResultState::withdrawn) {
    if (known) steps_.erase(at);
    return known;
  }
  if (!known) {
    steps_.insert(at, {transmission, {}});
    return true;
  }
  const bool changed = at->transmission.bearings != transmission.bearings;
  at->transmission = transmission;
  return changed;
}

void ChannelHistory::apply(const std::vector<Transmission>& changed, const FoldContext& context) {
  std::size_t first = steps_.size();
  for (const Transmission& t : changed) {  // in order: a change leaves earlier places alone
    if (place(t)) first = std::min(first, place_of(t.key));
  }
  refold(first, context);
}

void ChannelHistory::refold(std::size_t first, const FoldContext& context) {
  if (first < before_.size()) after_ = before_[first];
  before_.resize(std::min(first, before_.size()));
  for (std::size_t i = before_.size(); i < steps_.size(); ++i) {
    before_.push_back(after_);
    steps_[i].result = fold_transmission(after_, steps_[i].transmission, context);
  }
}

std::optional<TimePoint> ChannelHistory::forget_final() {
  const auto pending = std::find_if(steps_.begin(), steps_.end(), [](const HistoryStep& s) {
    return s.transmission.state != ResultState::final;
  });
  const auto count = pending - steps_.begin();
  if (count > 0) {
    const Transmission& last = std::prev(pending)->transmission;
    last_final_start_ = last.key.start;
    final_through_ = last.bearings.empty() ? last.key.start : last.bearings.back().start;
  }
  steps_.erase(steps_.begin(), pending);
  before_.erase(before_.begin(), before_.begin() + count);
  return last_final_start_;
}

ChannelHistory::Present ChannelHistory::at(TimePoint now, const track::TrackRules& rules) const {
  Present present{after_, {}};
  track::let_time_pass(present.tracks, now, rules, present.changes);
  return present;
}

TimePoint ChannelHistory::next_due(const track::TrackRules& rules) const {
  return track::next_due(after_, rules);
}

void ChannelHistory::settle_time(TimePoint now, const track::TrackRules& rules) {
  track::Changes changes;  // at() has told them
  track::let_time_pass(after_, now, rules, changes);
}

}  // namespace fixwright::app
