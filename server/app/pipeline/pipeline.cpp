#include "server/app/pipeline/pipeline.hpp"

#include <algorithm>
#include <iterator>
#include <map>
#include <utility>

#include "server/align/aligner.hpp"
#include "server/app/pipeline/channel_history.hpp"
#include "server/app/pipeline/shown_results.hpp"
#include "server/track/lone_lines.hpp"
#include "server/track/memory.hpp"

namespace fixwright::app {

namespace {

/// A busy channel is remembered this often, by event time; one that falls silent, at once.
constexpr std::chrono::minutes kRememberAfter{10};

struct ChannelState {
  ChannelHistory history;
  ShownResults shown;
  TimePoint wake;  // the watermark at which time alone changes something
  TimePoint remembered = align::kBeginningOfTime;  // through this
  std::size_t remembered_tracks = 0;
};

}  // namespace

struct Pipeline::Impl {
  Impl(PipelineRules r, Stations s, std::uint32_t first)
      : rules(r), stations(std::move(s)), first_revision(first), aligner(rules.align) {}

  [[nodiscard]] FoldContext context() const {
    return {rules, stations, {stations, rules.locate.default_site_sigma_deg}, identities};
  }

  ChannelState& channel(ChannelId id) {
    return channels.try_emplace(id, ChannelState{{}, ShownResults(first_revision), {}})
        .first->second;
  }

  void refresh(ChannelState& channel, PipelineOutput& out);
  void remember(ChannelId id, ChannelState& channel, PipelineOutput& out) const;
  [[nodiscard]] bool remembers(const Bearing& b) const {
    const auto found = restored_through.find(b.channel);
    return found != restored_through.end() && b.start <= found->second;
  }
  void redirect(Redirects next);
  /// Event time for what fades with time. The end of input is no time at which all fall silent.
  [[nodiscard]] TimePoint event_time() const {
    return finished ? std::max(before_finish, newest) : aligner.watermark();
  }
  [[nodiscard]] TimePoint final_before() const {
    return event_time() - from_seconds(rules.align.lateness_s);
  }

  PipelineRules rules;
  Stations stations;
  std::uint32_t first_revision;
  align::Aligner aligner;
  std::map<ChannelId, ChannelState> channels;
  TimePoint newest = align::kBeginningOfTime;
  TimePoint before_finish = align::kBeginningOfTime;
  bool finished = false;
  std::map<ChannelId, TimePoint> restored_through;
  std::vector<Bearing> too_old;  // came after what they belong to was remembered
  Redirects redirects;
  Identities identities;
  std::uint32_t highest_revision = 0;  // of an emitter, so far
};

Pipeline::Pipeline(PipelineRules rules, Stations stations, std::uint32_t first_revision)
    : impl_(std::make_unique<Impl>(rules, std::move(stations), first_revision)) {}
Pipeline::Pipeline(Pipeline&&) noexcept = default;
Pipeline& Pipeline::operator=(Pipeline&&) noexcept = default;
Pipeline::~Pipeline() = default;

void Pipeline::bearing(const Bearing& bearing) {
  if (impl_->remembers(bearing)) {
    impl_->too_old.push_back(bearing);
    return;
  }
  impl_->newest = std::max(impl_->newest, bearing.end());
  impl_->aligner.bearing(bearing);
}

void Pipeline::heartbeat(const Heartbeat& heartbeat) { impl_->aligner.heartbeat(heartbeat); }

void Pipeline::tick(TimePoint server_now) { impl_->aligner.tick(server_now); }

Result<std::size_t> Pipeline::restore(const ChannelMemory& memory) {
  auto tracks = track::read_memory(memory.state);
  if (!tracks) return Error{tracks.error()};
  const std::size_t count = tracks->emitters.size();
  const std::size_t remembered = track::worth_remembering(*tracks, impl_->rules.track);
  ChannelState& channel = impl_->channel(memory.channel);
  channel.history.restore(std::move(tracks).value(), memory.through);
  channel.wake = align::kBeginningOfTime;
  channel.remembered = memory.through;
  channel.remembered_tracks = remembered;
  impl_->restored_through[memory.channel] = memory.through;
  return count;
}

bool Pipeline::remembers(const Bearing& bearing) const { return impl_->remembers(bearing); }

void Pipeline::Impl::remember(ChannelId id, ChannelState& channel, PipelineOutput& out) const {
  const auto [tracks, through] = channel.history.settled();
  const std::size_t count = track::worth_remembering(tracks, rules.track);
  if (!through || (count == 0 && channel.remembered_tracks == 0)) return;
  const bool silent = channel.history.steps().empty();
  const bool grown = *through > channel.remembered;
  const bool due = silent ? grown || count != channel.remembered_tracks
                          : *through > channel.remembered + kRememberAfter;
  if (!due) return;
  channel.remembered = *through;
  channel.remembered_tracks = count;
  out.memories.push_back({id, *through, count == 0 ? std::string{} : track::write_memory(tracks)});
}

void Pipeline::redirect(Redirects redirects) { impl_->redirect(std::move(redirects)); }

void Pipeline::Impl::redirect(Redirects next) {
  redirects = std::move(next);
  for (auto& [id, channel] : channels) channel.wake = align::kBeginningOfTime;
}

void Pipeline::identify(Identities identities) { impl_->identities = std::move(identities); }

void Pipeline::calibrate(const Calibrations& calibrations) {
  for (auto& [id, station] : impl_->stations) {
    const auto known = calibrations.find(id);
    station.calibrations = known == calibrations.end() ? std::vector<Calibration>{} : known->second;
  }
}

void Pipeline::finish() {
  if (impl_->finished) return;
  impl_->before_finish = impl_->aligner.watermark();
  impl_->finished = true;
  impl_->aligner.finish();
}

PipelineOutput Pipeline::take() {
  PipelineOutput out;
  auto aligned = impl_->aligner.take();
  out.late = std::move(aligned.late);
  out.late.insert(out.late.end(), impl_->too_old.begin(), impl_->too_old.end());
  impl_->too_old.clear();
  out.watermark = impl_->event_time();
  const FoldContext context = impl_->context();
  for (auto& change : aligned.channels) {
    ChannelState& channel = impl_->channel(change.channel);
    channel.history.apply(change.transmissions, context);
    channel.wake = align::kBeginningOfTime;
    for (Transmission& t : change.transmissions) {
      t.revision += impl_->first_revision - 1;
      out.transmissions.push_back(std::move(t));
    }
  }
  for (auto it = impl_->channels.begin(); it != impl_->channels.end();) {
    ChannelState& channel = it->second;
    if (impl_->aligner.watermark() >= channel.wake) {
      impl_->refresh(channel, out);
      impl_->remember(it->first, channel, out);
    }
    it = channel.wake == TimePoint::max() ? impl_->channels.erase(it) : std::next(it);
  }
  return out;
}

void Pipeline::Impl::refresh(ChannelState& channel, PipelineOutput& out) {
  const auto present = channel.history.at(event_time(), rules.track);
  const ShowContext show{aligner.watermark(), redirects, rules.track, highest_revision,
                         finished ? TimePoint::max() : final_before()};
  channel.shown.show(channel.history.steps(), present, show, out);
  for (const Emitter& e : out.emitters) highest_revision = std::max(highest_revision, e.revision);
  const auto last_final = channel.history.forget_final();
  TimePoint settled = final_before();
  channel.wake = std::min(track::next_due(present.tracks, rules.track), channel.shown.next_birth());
  if (const TimePoint due = channel.shown.next_smoothing(); due != TimePoint::max()) {
    channel.wake = std::min(channel.wake, due + from_seconds(rules.align.lateness_s) + Duration{1});
  }
  if (channel.history.steps().empty()) {
    channel.history.settle_time(settled, rules.track);
    const TimePoint due = channel.history.next_due(rules.track);
    if (due != TimePoint::max()) {
      channel.wake = std::min(channel.wake, due + from_seconds(rules.align.lateness_s));
    }
  } else {
    settled = std::min(settled, last_final.value_or(settled));
    channel.wake = std::min(channel.wake, TimePoint::max() - Duration{1});
  }
  channel.shown.forget(last_final, settled);
}

}  // namespace fixwright::app
