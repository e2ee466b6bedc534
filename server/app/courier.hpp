#pragma once
/// Tells people of alerts, from the outbox: each message at least once, and with the same key
/// should it come twice.

#include <random>
#include <vector>

#include "server/app/notify_config.hpp"
#include "server/app/poller.hpp"
#include "server/base/clock.hpp"
#include "server/base/metrics.hpp"
#include "server/store/outbox.hpp"

namespace fixwright::app {

class Courier {
 public:
  /// Looks at once and then every two seconds.
  Courier(NotifyConfig config, notify::Surroundings around, store::Database& database,
          const Clock& clock, Metrics& metrics);

 private:
  void look();
  store::Told tell(const store::DueMessage& message);
  std::optional<std::string> send(const store::DueMessage& message);

  const NotifyConfig config_;
  const notify::Surroundings around_;
  store::Database& database_;
  const Clock& clock_;
  Metrics& metrics_;
  std::minstd_rand random_;
  Poller poller_;  // last: it looks when all else is there
};

}  // namespace fixwright::app
