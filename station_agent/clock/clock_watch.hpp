#pragma once
/// The host's clock, watched five times a second by a thread of its own, so that a step or a lost
/// reference shows within a second, connected or not.

#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "station_agent/clock/child_output.hpp"
#include "station_agent/clock/clock_judge.hpp"

namespace fixwright::agent {

/// Asks chronyc again and again; nobody waits for it. One call at a time.
class ChronyPoll {
 public:
  /// \param command  `chronyc -c -n tracking` but in tests; empty: chrony is never asked.
  explicit ChronyPoll(std::vector<std::string> command) : command_(std::move(command)) {}
  /// Asks every second; every ten seconds where chrony is not installed or does not answer.
  void step(Duration since_boot);
  /// Its answer, while it is not older than three seconds.
  [[nodiscard]] std::optional<ChronyTracking> newest(Duration since_boot) const;

 private:
  std::vector<std::string> command_;
  std::unique_ptr<ChildOutput> child_;
  std::optional<ChronyTracking> answer_;
  Duration answered_at_{};
  Duration next_{};
};

class ClockWatch final : public ClockMonitor {
 public:
  explicit ClockWatch(std::vector<std::string> chronyc = {"chronyc", "-c", "-n", "tracking"});
  ~ClockWatch() override;
  /// Asks kernel and clocks now, and takes chrony's newest word. Any thread.
  [[nodiscard]] ClockReading read() const override;

 private:
  ClockReading look() const;
  void watch(const std::stop_token& stop);

  mutable std::mutex mutex_;
  mutable ClockJudge judge_;
  ChronyPoll chrony_;
  std::jthread thread_;  // last: it uses the others
};

}  // namespace fixwright::agent
