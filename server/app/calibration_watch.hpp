#pragma once
/// Notices calibrations that people accept, whoever wrote them into the database, and accepts those
/// that a configured rule accepts.

#include <functional>

#include "server/app/poller.hpp"
#include "server/base/clock.hpp"
#include "server/calibrate/acceptance.hpp"
#include "server/store/calibration_book.hpp"

namespace fixwright::app {

class CalibrationWatch {
 public:
  /// Looks at once and then every five seconds.
  /// \param known  what is applied already.
  /// \param apply  is given all that stand, when they have changed.
  /// \param rules  what is proposed and keeps to them is accepted from now on, in their name.
  CalibrationWatch(store::Database& database, const Clock& clock,
                   const calibrate::AcceptanceRules& rules, Calibrations known,
                   std::function<void(Calibrations)> apply);

 private:
  void look();
  void accept_by_rule();

  store::Database& database_;
  const Clock& clock_;
  const calibrate::AcceptanceRules rules_;
  Calibrations known_;
  std::function<void(Calibrations)> apply_;
  Poller poller_;  // last: it looks when all else is there
};

}  // namespace fixwright::app
