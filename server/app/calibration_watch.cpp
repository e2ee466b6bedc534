#include "server/app/calibration_watch.hpp"

#include <exception>
#include <string>

#include "server/base/log.hpp"

namespace fixwright::app {

namespace {

constexpr std::chrono::seconds kInterval{5};

}  // namespace

CalibrationWatch::CalibrationWatch(store::Database& database, Calibrations known,
                                   std::function<void(Calibrations)> apply)
    : database_(database), known_(std::move(known)), apply_(std::move(apply)) {
  thread_ = std::thread([this] { run(); });
}

CalibrationWatch::~CalibrationWatch() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  stop_.notify_one();
  thread_.join();
}

void CalibrationWatch::run() {
  std::string told;
  std::unique_lock lock(mutex_);
  while (!stop_.wait_for(lock, kInterval, [this] { return stopping_; })) {
    lock.unlock();
    try {
      look();
      told.clear();
    } catch (const store::DatabaseAway&) {
      // The database's watch tells of that; what was accepted is read when it is back.
    } catch (const std::exception& problem) {
      if (told != problem.what()) log::error("calibrations are not read: {}", problem.what());
      told = problem.what();
    }
    lock.lock();
  }
}

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
