#include "server/app/courier.hpp"

#include <algorithm>
#include <chrono>
#include <utility>

#include "server/base/log.hpp"

namespace fixwright::app {

namespace {

constexpr std::chrono::seconds kInterval{2};
constexpr int kMostInALook = 20;  // so that a stop of the server waits for few

notify::Notification notification_of(const store::DueMessage& message, TimePoint now) {
  notify::Notification n;
  n.key = message.key();
  n.at = now;
  n.escalated = message.occasion == DeliveryOccasion::escalated;
  for (const AlertView& view : message.alerts) n.alerts.push_back(view.alert);
  return n;
}

}  // namespace

Courier::Courier(NotifyConfig config, notify::Surroundings around, store::Database& database,
                 const Clock& clock, Metrics& metrics)
    : config_(std::move(config)),
      around_(std::move(around)),
      database_(database),
      clock_(clock),
      metrics_(metrics),
      random_(std::random_device{}()),
      poller_({kInterval, "messages about alerts wait"}, [this] { look(); }) {}

void Courier::look() {
  store::Outbox outbox(database_);
  for (int i = 0; i < kMostInALook; ++i) {
    if (!outbox.deliver_one(clock_.now(), [this](const auto& m) { return tell(m); })) return;
  }
}

std::optional<std::string> Courier::send(const store::DueMessage& message) {
  const auto& all = config_.destinations;
  const auto to = std::find_if(all.begin(), all.end(), [&](const DestinationConfig& d) {
    return d.rule.destination == message.destination;
  });
  if (to == all.end()) return "there is no such destination any more";
  const auto n = notification_of(message, clock_.now());
  if (const auto* mail = std::get_if<notify::MailRoute>(&to->route)) {
    return notify::send_mail(*mail, n, around_);
  }
  return notify::send_webhook(std::get<notify::WebhookRoute>(to->route), n, around_);
}

store::Told Courier::tell(const store::DueMessage& message) {
  store::Told told;
  told.error = send(message);
  const TimePoint now = clock_.now();
  if (!told.error) {
    metrics_.counter("fixwright_alert_messages_delivered", "Messages about alerts delivered.")
        .add();
    return told;
  }
  metrics_.counter("fixwright_alert_messages_failed", "Tries to deliver one that failed.").add();
  if (now - message.not_before >= alert::kGivesUpAfter) {
    log::error("alerts: {} is told no more of {}: {}", message.destination, message.key(),
               *told.error);
    return told;
  }
  const double dice = std::uniform_real_distribution<>(0.0, 1.0)(random_);
  told.try_again = now + alert::retry_after(message.tries + 1, dice);
  log::warn("alerts: {} can't be told, is tried again at {}: {}", message.destination,
            format_rfc3339(*told.try_again, 0), *told.error);
  return told;
}

}  // namespace fixwright::app
