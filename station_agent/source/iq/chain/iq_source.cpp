#include "station_agent/source/iq/chain/iq_source.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <chrono>
#include <cmath>

#include "station_agent/source/iq/chain/array_in_use.hpp"
#include "station_agent/source/iq/chain/look_bearing.hpp"
#include "station_agent/source/iq/chain/watched_channels.hpp"
#include "station_agent/source/iq/chain/withheld.hpp"

namespace fixwright::agent::iq {

namespace {

/// A stream that gives nothing for so long has stopped, as far as the watermark is concerned.
constexpr Duration kSilence = std::chrono::seconds{5};
/// Samples whose times are further from the host's clock are a recording of another day.
constexpr Duration kPresent = std::chrono::seconds{60};

/// Those the detector can watch; the others lead to a line each.
std::vector<detect::WatchedChannel> watchable(detect::DetectorConfig config,
                                              std::vector<std::string>& lines) {
  std::vector<detect::WatchedChannel> good;
  for (const detect::WatchedChannel& c : std::vector(config.channels)) {
    config.channels = {c};
    const std::vector<std::string> problems = detect::problems_of(config);
    if (problems.empty()) {
      good.push_back(c);
    } else {
      lines.push_back(
          fmt::format("{:.6f} MHz is not watched: {}", c.frequency_hz / 1e6, problems.front()));
    }
  }
  return good;
}

}  // namespace

IqSource::IqSource(IqSourceConfig config, std::unique_ptr<SampleStream> stream,
                   const PlanBoard* board, const Clock& clock)
    : config_(std::move(config)),
      stream_(std::move(stream)),
      board_(board),
      clock_(clock),
      array_watch_(config_.misfit_limit_deg) {}

Result<std::unique_ptr<Source>> IqSource::open(IqSourceConfig config,
                                               std::unique_ptr<SampleStream> stream,
                                               const PlanBoard* board, const Clock& clock) {
  std::unique_ptr<IqSource> source(
      new IqSource(std::move(config), std::move(stream), board, clock));
  const std::string problem = source->follow_format();
  if (!problem.empty()) return Error{problem};
  return std::unique_ptr<Source>(std::move(source));
}

/// A new array and detector for the stream's format. \return why there can be none, or nothing.
std::string IqSource::follow_format() {
  const StreamFormat& format = stream_->format();
  detector_.reset();
  estimator_.reset();
  array_watch_ = ArrayWatch(config_.misfit_limit_deg);
  plan_version_.reset();
  const Result<array::Manifold> manifold = array_in_use(config_, format);
  if (!manifold) return manifold.error();
  watching_ = {};
  watching_.rate_hz = format.rate_hz;
  watching_.centre_hz = format.centre_hz;
  watching_.elements = format.elements;
  watching_.rules = config_.detect;
  const std::vector<std::string> rules = detect::problems_of(watching_);
  if (!rules.empty()) return "source.iq.detect: " + rules.front();
  estimator_.emplace(*manifold, config_.estimator);
  expired_ = false;
  return {};
}

/// The channels are chosen at first and whenever the server's plan is another one.
void IqSource::follow_channels(SourceBatch& batch) {
  const std::uint64_t version = board_ != nullptr ? board_->version() : 0;
  const bool known = !config_.channels.empty() || version > 0;
  if (!known || plan_version_ == version) return;
  plan_version_ = version;
  const auto plan = board_ != nullptr ? board_->plan() : std::vector<PlannedChannel>{};
  if (config_.tune_to_channels && retune(wanted_channels(config_.channels, plan), batch)) return;
  ChannelChoice choice =
      choose_channels(config_.channels, plan, stream_->format(), config_.tune_to_channels);
  if (!choice.complaint.empty()) {
    // Another list of channels is another matter, also when it comes soon.
    book_.say(choice.complaint, choice.complaint, clock_.now(), batch.complaints);
  }
  detect::DetectorConfig next = watching_;
  next.channels = std::move(choice.channels);
  next.channels = watchable(next, batch.complaints);
  if (detector_) detector_->finish(looks_);
  take_looks(batch);
  watching_ = std::move(next);
  detector_ = watching_.channels.empty() ? nullptr : std::make_unique<detect::Detector>(watching_);
}

/// \return whether the stream goes to another centre: with its next samples, all of the new one,
/// the channels are chosen. A receiver that takes only near ones is not asked again and again.
bool IqSource::retune(const std::vector<detect::WatchedChannel>& wanted, SourceBatch& batch) {
  const double centre_hz = best_centre_hz(wanted, watching_.rate_hz);
  const bool asked = std::abs(centre_hz - asked_hz_.value_or(watching_.centre_hz)) < 1.0;
  if (centre_hz <= 0.0 || asked || !stream_->tune(centre_hz)) return false;
  asked_hz_ = centre_hz;
  retuning_ = true;
  if (detector_) detector_->finish(looks_);
  take_looks(batch);
  detector_.reset();
  return true;
}

SourceBatch IqSource::read(Duration patience) {
  SourceBatch batch;
  const auto until = std::chrono::steady_clock::now() + patience;
  Duration left = patience;
  do {  // blocks are shorter than anybody needs to be told of
    follow_channels(batch);
    step(left, batch);
    left = until - std::chrono::steady_clock::now();
  } while (left > Duration{0} && batch.bearings.empty() && batch.complaints.empty() &&
           !batch.ended);
  batch.low_watermark = low_watermark_;
  return batch;
}

void IqSource::step(Duration patience, SourceBatch& batch) {
  const ReadOutcome outcome = stream_->read(block_, patience);
  if (!outcome.note.empty()) batch.complaints.push_back(outcome.note);
  const bool retuned = retuning_ && outcome.state == ReadState::samples;
  if (outcome.format_changed || retuned) change_format(batch);
  if (batch.ended) return;
  switch (outcome.state) {
    case ReadState::samples:
      return take_block(batch);
    case ReadState::waiting:
      return watch_for_silence(batch);
    case ReadState::ended:
    case ReadState::failed:
      return end(outcome, batch);
  }
}

void IqSource::change_format(SourceBatch& batch) {
  retuning_ = false;
  if (detector_) detector_->finish(looks_);
  take_looks(batch);
  const std::string problem = follow_format();
  if (problem.empty()) return follow_channels(batch);
  batch.complaints.push_back(problem + "; nothing more is taken from it");
  batch.ended = true;
}

void IqSource::take_block(SourceBatch& batch) {
  last_samples_ = clock_.now();
  check_calibration_age(block_.start, batch);
  if (!detector_) {
    advance_watermark(block_.start);
    return;
  }
  detector_->process(block_, looks_);
  take_looks(batch);
  advance_watermark(detector_->low_watermark());
}

void IqSource::take_looks(SourceBatch& batch) {
  for (const detect::Notice& n : looks_.notices) {
    const std::string matter =
        fmt::format("{} {} {}", detect::word(n.kind), n.element, n.began ? "began" : "over");
    book_.say(matter, detect::describe(n), n.at, batch.complaints);
  }
  for (const detect::ChannelLook& look : looks_) take_look(look, batch);
  looks_.clear();
}

void IqSource::take_look(const detect::ChannelLook& look, SourceBatch& batch) {
  const array::SpatialCovariance covariance = covariance_of(look);
  const array::Estimate estimate = estimator_->estimate(covariance);
  const bool poor = estimate.refusal == array::EstimateRefusal::poor_fit;
  if (look.faulty_elements != 0 || (!estimate.accepted() && !poor)) {
    return say_withheld(look, why_withheld(look, estimate), batch);
  }
  array_watch_.add(estimate);
  const auto& swaps = array_watch_.swaps(*estimator_, covariance, estimate, look.start);
  if (!swaps.empty()) return say_withheld(look, withheld_for_order(swaps), batch);
  if (poor) return say_withheld(look, why_withheld(look, estimate), batch);
  batch.bearings.push_back(bearing_of(look, estimate));
  batch.bearings.back().from_heading = config_.from_heading;
  batch.bearings.back().simulated = config_.simulated;
  if (array_watch_.fits_badly()) flag_bad_fit(look, batch);
}

void IqSource::say_withheld(const detect::ChannelLook& look, const Withheld& why,
                            SourceBatch& batch) {
  if (why.matter.empty()) return;  // too weak or too short: nothing is wrong
  book_.say(why.matter,
            fmt::format("{:.4f} MHz: no bearing: {}", look.frequency_hz / 1e6, why.line),
            look.start, batch.complaints);
}

/// What most transmitters show can't be their reflections.
void IqSource::flag_bad_fit(const detect::ChannelLook& look, SourceBatch& batch) {
  batch.bearings.back().uncalibrated = true;
  book_.say("misfit",
            fmt::format("the array fits what it hears only to {:.0f} degrees [array_misfit]: "
                        "bearings are flagged as uncalibrated; look at elements and cables, then "
                        "calibrate",
                        array_watch_.median_misfit_deg()),
            look.start, batch.complaints);
}

void IqSource::check_calibration_age(TimePoint at, SourceBatch& batch) {
  const array::ArrayCalibration& calibration = config_.calibration;
  if (expired_ || config_.calibration_max_age <= Duration{0} || calibration.elements.empty()) {
    return;
  }
  if (at - calibration.date <= config_.calibration_max_age) return;
  expired_ = true;
  estimator_->set_calibration_state(array::CalibrationState::expired);
  batch.complaints.push_back(fmt::format(
      "source.iq.array: the calibration of {} is older than {:.0f} days: calibrate anew",
      format_rfc3339(calibration.date, 0), seconds(config_.calibration_max_age) / 86'400.0));
}

/// A device that hangs must not hold back what other stations hear.
void IqSource::watch_for_silence(SourceBatch& batch) {
  const TimePoint now = clock_.now();
  if (!last_samples_) last_samples_ = now;
  if (now - *last_samples_ < kSilence) return;
  if (now - block_.start < kPresent) advance_watermark(now - kSilence);
  book_.say("silence",
            fmt::format("source.iq: no samples since {}: is the receiver still there?",
                        format_rfc3339(*last_samples_, 1)),
            now, batch.complaints);
}

void IqSource::end(const ReadOutcome& outcome, SourceBatch& batch) {
  if (outcome.state == ReadState::failed && outcome.note.empty()) {
    batch.complaints.emplace_back("source.iq: the samples have ended with a fault");
  }
  if (detector_) detector_->finish(looks_);
  take_looks(batch);
  batch.ended = true;
}

void IqSource::advance_watermark(TimePoint to) { low_watermark_ = std::max(low_watermark_, to); }

}  // namespace fixwright::agent::iq
