#pragma once
/// Asks the database every second whether it answers, and tells when that changes: readiness
/// must not wait for the next bearing to notice.

#include <functional>
#include <optional>

#include "server/app/poller.hpp"
#include "server/base/time.hpp"

namespace fixwright::app {

class DatabaseWatch {
 public:
  /// \param answers  asks once; \param changed  is told the first answer and each change.
  DatabaseWatch(std::function<bool()> answers, std::function<void(bool)> changed,
                Duration interval = std::chrono::seconds{1});

 private:
  void look();

  const std::function<bool()> answers_;
  const std::function<void(bool)> changed_;
  std::optional<bool> before_;
  Poller poller_;  // last: it looks when all else is there
};

}  // namespace fixwright::app
