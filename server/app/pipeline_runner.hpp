#pragma once
/// Runs the pipeline on its own thread: takes in what is durable, writes what follows from it,
/// then tells those who watch. While the database is away it keeps its results and waits.

#include <condition_variable>
#include <functional>
#include <mutex>
#include <thread>
#include <variant>
#include <vector>

#include "server/app/hub.hpp"
#include "server/app/marks_board.hpp"
#include "server/app/pipeline/pipeline.hpp"
#include "server/app/result_judge.hpp"
#include "server/base/clock.hpp"
#include "server/base/metrics.hpp"
#include "server/model/alert_settings.hpp"
#include "server/model/calibration.hpp"
#include "server/model/host_state.hpp"
#include "server/model/station.hpp"
#include "server/model/views.hpp"
#include "server/store/result_writer.hpp"

namespace fixwright::app {

struct RunnerRules {
  Duration step = std::chrono::milliseconds{100};   // results are made this often
  Duration retry = std::chrono::milliseconds{500};  // of a write, while the database is away
};

class PipelineRunner {
 public:
  struct Parts {
    store::ResultWriter& results;
    Hub<EmitterView>& emitters;
    Hub<AlertView>& alerts;
    const MarksBoard& marks;
    const Clock& clock;
    Metrics& metrics;
    std::function<bool()> stalled;  // true: don't conclude from silence
  };

  /// Starts nothing: recover() may come first, then start().
  PipelineRunner(Pipeline pipeline, ResultJudge judge, const RunnerRules& rules, Parts parts);
  ~PipelineRunner();
  PipelineRunner(const PipelineRunner&) = delete;
  PipelineRunner& operator=(const PipelineRunner&) = delete;

  /// One bearing of the history, in EventOrder, before start(). Results are written as time in
  /// the history goes on, so that memory does not grow with it.
  void recover(const Bearing& bearing);
  void start();

  /// What is durable, or is to apply from now on.
  using Input = std::variant<std::vector<Bearing>, Heartbeat, Redirects, KnownRegister,
                             Calibrations, AlertSettings, CalibrationDrift, HostState>;
  void push(Input input);
  /// Writes what is done, unless the database is away, and stops. Call once, after start().
  void stop();

 private:
  void run();
  std::vector<Input> wait_for_inputs();
  std::vector<Alert> feed(std::vector<Input> inputs);
  std::vector<Alert> take(const std::vector<Bearing>& bearings);
  std::vector<Alert> take(const Heartbeat& heartbeat);
  std::vector<Alert> take(const Redirects& redirects);
  std::vector<Alert> take(const KnownRegister& known);
  std::vector<Alert> take(const Calibrations& calibrations);
  std::vector<Alert> take(const AlertSettings& settings);
  std::vector<Alert> take(const CalibrationDrift& drift);
  std::vector<Alert> take(const HostState& state);
  void step(std::vector<Alert> alerts);
  void settle(std::vector<Alert> alerts);
  bool write(const store::ResultBatch& batch);
  void publish(const store::ResultBatch& batch);
  void count(const PipelineOutput& output);
  [[nodiscard]] bool stopping() const;

  Pipeline pipeline_;
  ResultJudge judge_;
  const RunnerRules rules_;
  Parts parts_;
  std::size_t recovered_ = 0;

  mutable std::mutex mutex_;
  std::condition_variable changed_;
  std::vector<Input> inbox_;
  bool stopping_ = false;
  std::thread thread_;
};

}  // namespace fixwright::app
