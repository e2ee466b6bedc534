#pragma once
/// Notices calibrations that people accept, whoever wrote them into the database.

#include <condition_variable>
#include <functional>
#include <mutex>
#include <thread>

#include "server/store/calibration_book.hpp"

namespace fixwright::app {

class CalibrationWatch {
 public:
  /// Looks every five seconds.
  /// \param known  what is applied already.
  /// \param apply  is given all that stand, when they have changed.
  CalibrationWatch(store::Database& database, Calibrations known,
                   std::function<void(Calibrations)> apply);
  ~CalibrationWatch();
  CalibrationWatch(const CalibrationWatch&) = delete;
  CalibrationWatch& operator=(const CalibrationWatch&) = delete;

 private:
  void run();
  void look();

  store::Database& database_;
  Calibrations known_;
  std::function<void(Calibrations)> apply_;
  std::mutex mutex_;
  std::condition_variable stop_;
  bool stopping_ = false;
  std::thread thread_;
};

}  // namespace fixwright::app
