#include "server/app/calibration_watch.hpp"

#include <chrono>
#include <utility>

#include "server/base/log.hpp"

namespace fixwright::app {

namespace {

constexpr std::chrono::seconds kInterval{5};

}  // namespace

CalibrationWatch::CalibrationWatch(store::Database& database, const Clock& clock,
                                   const calibrate::AcceptanceRules& rules, Calibrations known,
                                   std::function<void(Calibrations)> apply)
    : database_(database),
      clock_(clock),
      rules_(rules),
      known_(std::move(known)),
      apply_(std::move(apply)),
      poller_({kInterval, "calibrations are not read"}, [this] { look(); }) {}

/// Kept and told like a person's decision, so that a person can see it and propose another.
void CalibrationWatch::accept_by_rule() {
  if (!rules_.enabled) return;
  store::CalibrationBook book(database_);
  const TimePoint now = clock_.now();
  for (const ProposedCalibration& p : book.all()) {
    if (p.state != CalibrationState::proposed || !breach_of(p, rules_, now).empty()) continue;
    if (!book.decide({p.id, now, "configured rule", text_of(rules_)})) continue;
    log::info("calibration {} of station {} is accepted {}: {:+.2f} deg", p.id, p.station,
              text_of(rules_), p.calibration.bias_deg);
  }
}

void CalibrationWatch::look() {
  accept_by_rule();
  auto accepted = store::CalibrationBook(database_).accepted();
  if (accepted == known_) return;
  known_ = std::move(accepted);
  std::size_t count = 0;
  for (const auto& [station, calibrations] : known_) count += calibrations.size();
  log::info("calibrations: {} accepted ones of {} stations are applied now", count, known_.size());
  apply_(known_);
}

}  // namespace fixwright::app
