#pragma once
/// Notices what people set for alerts, whoever wrote it into the database.

#include <functional>

#include "server/app/poller.hpp"
#include "server/store/alert_book.hpp"

namespace fixwright::app {

class AlertSettingsWatch {
 public:
  /// Looks at once and then every two seconds.
  /// \param known  what is applied already.
  /// \param apply  is given all that stands, when it has changed.
  AlertSettingsWatch(store::Database& database, AlertSettings known,
                     std::function<void(AlertSettings)> apply);

 private:
  void look();

  store::Database& database_;
  AlertSettings known_;
  std::function<void(AlertSettings)> apply_;
  Poller poller_;  // last: it looks when all else is there
};

}  // namespace fixwright::app
