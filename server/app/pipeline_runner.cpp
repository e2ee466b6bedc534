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
  batch.bearing_only = std::move(output.bearing_only);
  batch.memories = std::move(output.memories);
  batch.matches = std::move(judgement.matches);
  batch.alerts = std::move(judgement.alerts);
  return batch;
}

bool is_empty(const store::ResultBatch& b) {
  return b.transmissions.empty() && b.fixes.empty() && b.emitters.empty() && b.events.empty() &&
         b.track_points.empty() && b.bearing_only.empty() && b.matches.empty() &&
         b.alerts.empty() && b.memories.empty();
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

void PipelineRunner::push(Input input) {
  const std::lock_guard lock(mutex_);
  inbox_.push_back(std::move(input));
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

std::vector<Alert> PipelineRunner::take(const std::vector<Bearing>& bearings) {
  for (const Bearing& bearing : bearings) pipeline_.bearing(bearing);
  return {};
}

std::vector<Alert> PipelineRunner::take(const Heartbeat& heartbeat) {
  pipeline_.heartbeat(heartbeat);
  return judge_.heartbeat(heartbeat);
}

std::vector<Alert> PipelineRunner::take(const Redirects& redirects) {
  pipeline_.redirect(redirects);
  return {};
}

std::vector<Alert> PipelineRunner::take(const KnownRegister& known) {
  judge_.replace_register(known);
  return {};
}

std::vector<Alert> PipelineRunner::take(const Calibrations& calibrations) {
  pipeline_.calibrate(calibrations);
  return {};
}

std::vector<Alert> PipelineRunner::take(const AlertSettings& settings) {
  judge_.apply(settings);
  return {};
}

std::vector<Alert> PipelineRunner::take(const CalibrationDrift& drift) {
  return judge_.drift(drift);
}

std::vector<Alert> PipelineRunner::take(const HostState& state) { return judge_.host(state); }

/// \return the alerts that the inputs themselves raise or end.
std::vector<Alert> PipelineRunner::feed(std::vector<Input> inputs) {
  std::vector<Alert> alerts;
  for (const Input& input : inputs) {
    append(alerts, std::visit([this](const auto& it) { return take(it); }, input));
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
  store::ResultBatch batch = to_batch(std::move(output), std::move(judgement));
  batch.deliveries = judge_.deliveries(batch.alerts, parts_.clock.now());
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
