#include "server/app/pipeline_runner.hpp"

#include <exception>
#include <iterator>

#include "server/base/log.hpp"

namespace fixwright::app {

namespace {

constexpr std::size_t kRecoverStep = 10'000;  // bearings of the history between two writes

template <typename T>
void append(std::vector<T>& to, std::vector<T> from) {
  to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
}

store::ResultBatch to_batch(PipelineOutput output, Judgement judgement) {
  store::ResultBatch batch;
  batch.transmissions = std::move(output.transmissions);
  batch.fixes = std::move(output.fixes);
  batch.emitters = std::move(output.emitters);
  batch.events = std::move(output.events);
  batch.track_points = std::move(output.track_points);
  batch.memories = std::move(output.memories);
  batch.matches = std::move(judgement.matches);
  batch.alerts = std::move(judgement.alerts);
  return batch;
}

bool is_empty(const store::ResultBatch& b) {
  return b.transmissions.empty() && b.fixes.empty() && b.emitters.empty() && b.events.empty() &&
         b.track_points.empty() && b.matches.empty() && b.alerts.empty() && b.memories.empty();
}

}  // namespace

PipelineRunner::PipelineRunner(Pipeline pipeline, ResultJudge judge, const RunnerRules& rules,
                               Parts parts)
    : pipeline_(std::move(pipeline)),
      judge_(std::move(judge)),
      rules_(rules),
      parts_(std::move(parts)) {}

PipelineRunner::~PipelineRunner() {
  if (thread_.joinable()) stop();
}

void PipelineRunner::recover(const Bearing& bearing) {
  if (pipeline_.remembers(bearing)) return;
  pipeline_.bearing(bearing);
  if (++recovered_ % kRecoverStep != 0) return;
  pipeline_.tick(bearing.start);
  settle({});
}

void PipelineRunner::start() {
  thread_ = std::thread([this] { run(); });
}

void PipelineRunner::push(std::vector<Bearing> stored) {
  const std::lock_guard lock(mutex_);
  inbox_.emplace_back(std::move(stored));
}

void PipelineRunner::push(const Heartbeat& heartbeat) {
  const std::lock_guard lock(mutex_);
  inbox_.emplace_back(heartbeat);
}

void PipelineRunner::push(Calibrations calibrations) {
  const std::lock_guard lock(mutex_);
  inbox_.emplace_back(std::move(calibrations));
}

void PipelineRunner::push(Redirects redirects) {
  const std::lock_guard lock(mutex_);
  inbox_.emplace_back(std::move(redirects));
}

void PipelineRunner::push(KnownRegister known) {
  const std::lock_guard lock(mutex_);
  inbox_.emplace_back(std::move(known));
}

void PipelineRunner::stop() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  changed_.notify_one();
  thread_.join();
}

bool PipelineRunner::stopping() const {
  const std::lock_guard lock(mutex_);
  return stopping_;
}

void PipelineRunner::run() {
  while (!stopping()) {
    step(feed(wait_for_inputs()));
  }
}

std::vector<PipelineRunner::Input> PipelineRunner::wait_for_inputs() {
  std::unique_lock lock(mutex_);
  changed_.wait_for(lock, rules_.step, [this] { return stopping_; });
  return std::exchange(inbox_, {});
}

/// \return the alerts that heartbeats alone raise or end.
std::vector<Alert> PipelineRunner::feed(std::vector<Input> inputs) {
  std::vector<Alert> alerts;
  for (Input& input : inputs) {
    if (auto* known = std::get_if<KnownRegister>(&input)) {
      judge_.replace_register(std::move(*known));
      continue;
    }
    if (const auto* heartbeat = std::get_if<Heartbeat>(&input)) {
      pipeline_.heartbeat(*heartbeat);
      append(alerts, judge_.heartbeat(*heartbeat));
      continue;
    }
    if (const auto* calibrations = std::get_if<Calibrations>(&input)) {
      pipeline_.calibrate(*calibrations);
      continue;
    }
    if (const auto* redirects = std::get_if<Redirects>(&input)) {
      pipeline_.redirect(*redirects);
      continue;
    }
    for (const Bearing& bearing : std::get<std::vector<Bearing>>(input)) pipeline_.bearing(bearing);
  }
  return alerts;
}

void PipelineRunner::step(std::vector<Alert> alerts) {
  if (!parts_.stalled()) {
    const TimePoint now = parts_.clock.now();
    pipeline_.tick(now);
    append(alerts, judge_.tick(now));
  }
  settle(std::move(alerts));
}

/// Computes what is due, judges it, writes it, tells who watches.
void PipelineRunner::settle(std::vector<Alert> alerts) {
  PipelineOutput output = pipeline_.take();
  count(output);
  Judgement judgement = judge_.judge(output);
  append(judgement.alerts, std::move(alerts));
  const store::ResultBatch batch = to_batch(std::move(output), std::move(judgement));
  if (!is_empty(batch) && write(batch)) publish(batch);
}

/// \return false when stopped while the database was away, for the next start makes them again;
/// or when the database refused them, which trying again would not mend.
bool PipelineRunner::write(const store::ResultBatch& batch) {
  for (;;) {
    try {
      parts_.results.write(batch);
      return true;
    } catch (const store::DatabaseRefused& refused) {
      log::error("store: {} fixes and {} emitters were refused and are not in the history: {}",
                 batch.fixes.size(), batch.emitters.size(), refused.what());
      parts_.metrics.counter("fixwright_results_refused", "Batches of results that were refused.")
          .add();
      return false;
    } catch (const std::exception& away) {
      log::warn("store: {} fixes and {} emitters wait: {}", batch.fixes.size(),
                batch.emitters.size(), away.what());
    }
    std::unique_lock lock(mutex_);
    if (changed_.wait_for(lock, rules_.retry, [this] { return stopping_; })) return false;
  }
}

void PipelineRunner::publish(const store::ResultBatch& batch) {
  for (const Emitter& emitter : batch.emitters) {
    EmitterView view;
    view.emitter = emitter;
    if (const RegisterMatch* match = judge_.match(emitter.key)) view.match = *match;
    parts_.marks.mark(view);
    parts_.emitters.publish(view);
  }
  for (const Alert& alert : batch.alerts) {
    log::info("alert {}: {}", alert.rule, alert.message);
    parts_.alerts.publish({alert, std::nullopt});
  }
}

void PipelineRunner::count(const PipelineOutput& output) {
  for (const Fix& fix : output.fixes) {
    const std::string_view word = to_string(fix.solution.refusal);
    parts_.metrics
        .counter("fixwright_fix_results", "Fixes made or refused, each revision, by reason.",
                 {{"refusal", std::string(word)}, {"state", std::string(to_string(fix.state))}})
        .add();
  }
  if (!output.late.empty()) {
    parts_.metrics.counter("fixwright_bearings_late", "Stored, too late for a live result.")
        .add(output.late.size());
  }
}

}  // namespace fixwright::app
