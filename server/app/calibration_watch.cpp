#include "server/app/calibration_watch.hpp"

#include <chrono>
#include <utility>

#include "server/base/log.hpp"

namespace fixwright::app {

namespace {

constexpr std::chrono::seconds kInterval{5};

}  // namespace

CalibrationWatch::CalibrationWatch(store::Database& database, Calibrations known,
                                   std::function<void(Calibrations)> apply)
    : database_(database),
      known_(std::move(known)),
      apply_(std::move(apply)),
      poller_({kInterval, "calibrations are not read"}, [this] { look(); }) {}

void CalibrationWatch::look() {
  auto accepted = store::CalibrationBook(database_).accepted();
  if (accepted == known_) return;
  known_ = std::move(accepted);
  std::size_t count = 0;
  for (const auto& [station, calibrations] : known_) count += calibrations.size();
  log::info("calibrations: {} accepted ones of {} stations are applied now", count, known_.size());
  apply_(known_);
}

}  // namespace fixwright::app
