#pragma once
/// Notices calibrations that people accept, whoever wrote them into the database.

#include <functional>

#include "server/app/poller.hpp"
#include "server/store/calibration_book.hpp"

namespace fixwright::app {

class CalibrationWatch {
 public:
  /// Looks at once and then every five seconds.
  /// \param known  what is applied already.
  /// \param apply  is given all that stand, when they have changed.
  CalibrationWatch(store::Database& database, Calibrations known,
                   std::function<void(Calibrations)> apply);

 private:
  void look();

  store::Database& database_;
  Calibrations known_;
  std::function<void(Calibrations)> apply_;
  Poller poller_;  // last: it looks when all else is there
};

}  // namespace fixwright::app
