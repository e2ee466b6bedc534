#include "server/app/alert_settings_watch.hpp"

#include <chrono>
#include <utility>

#include "server/base/log.hpp"

namespace fixwright::app {

namespace {

constexpr std::chrono::seconds kInterval{2};

}  // namespace

AlertSettingsWatch::AlertSettingsWatch(store::Database& database, AlertSettings known,
                                       std::function<void(AlertSettings)> apply)
    : database_(database),
      known_(std::move(known)),
      apply_(std::move(apply)),
      poller_({kInterval, "rules of alerts are not read"}, [this] { look(); }) {}

void AlertSettingsWatch::look() {
  auto settings = store::AlertBook(database_).settings();
  if (settings == known_) return;
  known_ = std::move(settings);
  log::info("alerts: {} rules, {} watched areas and {} mutes of people apply now",
            known_.rules.size(), known_.areas.size(), known_.mutes.size());
  apply_(known_);
}

}  // namespace fixwright::app
