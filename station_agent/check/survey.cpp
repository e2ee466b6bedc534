#include "station_agent/check/survey.hpp"

#include <algorithm>
#include <cmath>

namespace fixwright::agent::check {

namespace {

constexpr Duration kSilence = std::chrono::seconds{3};
constexpr Duration kPatience = std::chrono::milliseconds{200};

/// Better to judge an array by: not broken, then stronger.
bool is_better(const detect::ChannelLook& a, const detect::ChannelLook& b) {
  if (a.overload != b.overload) return b.overload;
  return a.snr_db + 10.0 * std::log10(std::max(a.snapshots, 1.0)) >
         b.snr_db + 10.0 * std::log10(std::max(b.snapshots, 1.0));
}

void take_looks(const detect::LookList& list, Survey& s, const LookTaker& each) {
  s.notices.insert(s.notices.end(), list.notices.begin(), list.notices.end());
  for (const detect::ChannelLook& look : list) {
    if (each) each(look);
    HeardChannel& heard = s.heard[look.channel];
    if (heard.looks++ == 0 || is_better(look, heard.look)) heard.look = look;
  }
}

void take_block(const SampleBlock& block, Survey& s) {
  if (s.frames == 0) s.first = block.start;
  s.frames += block.frames;
  s.lost_frames += block.lost_frames_before;
  for (std::size_t e = 0; e < std::min(s.clipped.size(), block.clipped.size()); ++e) {
    s.clipped[e] += block.clipped[e];
  }
}

/// One block into the detector. \return whether to go on.
bool step(iq::SampleStream& stream, SampleBlock& block, detect::Detector& detector, Survey& s,
          const LookTaker& each) {
  const iq::ReadOutcome outcome = stream.read(block, kPatience);
  if (!outcome.note.empty()) s.notes.push_back(outcome.note);
  if (outcome.state == iq::ReadState::failed) {
    s.failure = outcome.note.empty() ? "the samples ended with a fault" : outcome.note;
  }
  if (outcome.format_changed && s.frames > 0) {
    s.failure = "rate, frequency or channels of the samples changed on the way";
    return false;
  }
  if (outcome.state != iq::ReadState::samples) return outcome.state == iq::ReadState::waiting;
  if (block.elements != s.format.elements) {
    s.failure = "the samples have another number of channels than the stream told";
    return false;
  }
  take_block(block, s);
  detect::LookList looks;
  detector.process(block, looks);
  take_looks(looks, s, each);
  return true;
}

}  // namespace

Survey survey(iq::SampleStream& stream, const detect::DetectorConfig& config, Duration lasts,
              const LookTaker& each) {
  Survey s;
  s.format = stream.format();
  s.channels = config.channels;
  s.heard.resize(config.channels.size());
  s.clipped.assign(config.elements, 0);
  detect::Detector detector(config);
  SampleBlock block;
  auto heard_at = std::chrono::steady_clock::now();
  while (s.lasted_s() < seconds(lasts)) {
    const std::uint64_t before = s.frames;
    if (!step(stream, block, detector, s, each)) break;
    const auto now = std::chrono::steady_clock::now();
    if (s.frames > before) heard_at = now;
    if (now - heard_at > kSilence) {
      s.failure = "no samples for three seconds";
      break;
    }
  }
  detect::LookList last;
  detector.finish(last);
  take_looks(last, s, each);
  const auto noise = detector.element_noise_dbfs();
  s.noise_dbfs.assign(noise.begin(), noise.end());
  return s;
}

void tune_to(iq::SampleStream& stream, double centre_hz) {
  const bool there = std::abs(centre_hz - stream.format().centre_hz) < 1.0;
  if (there || !stream.tune(centre_hz)) return;
  SampleBlock block;
  const auto until = std::chrono::steady_clock::now() + kSilence;
  while (std::chrono::steady_clock::now() < until) {
    const iq::ReadOutcome outcome = stream.read(block, kPatience);
    const bool over =
        outcome.state == iq::ReadState::ended || outcome.state == iq::ReadState::failed;
    if (outcome.format_changed || over) return;
  }
}

}  // namespace fixwright::agent::check
