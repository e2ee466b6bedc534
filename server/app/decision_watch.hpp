#pragma once
/// Notices what people decide, whoever wrote it into the database, and makes those who watch see
/// it: the page and the streams must not wait until an emitter is heard again.

#include <functional>
#include <optional>

#include "server/app/hub.hpp"
#include "server/app/marks_board.hpp"
#include "server/app/poller.hpp"
#include "server/base/time.hpp"
#include "server/store/database.hpp"

namespace fixwright::app {

class DecisionWatch {
 public:
  struct Parts {
    store::Database& database;
    MarksBoard& marks;
    Hub<EmitterView>& emitters;
    std::function<void(Redirects)> redirect;  // is told the merges that stand, when they change
  };

  /// Reads what was decided so far and tells the merges, then looks every second. Throws when the
  /// database is away now; later it looks again.
  explicit DecisionWatch(Parts parts);

 private:
  void look();

  Parts parts_;
  Redirects redirects_;
  std::int64_t seen_ = 0;         // the last decision that was taken notice of
  std::optional<Poller> poller_;  // last: it looks when all else is there
};

}  // namespace fixwright::app
