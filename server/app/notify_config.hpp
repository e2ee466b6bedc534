#pragma once
/// Who is told of alerts, as configured.

#include <string>
#include <variant>
#include <vector>

#include "server/alert/delivery_policy.hpp"
#include "server/base/config.hpp"
#include "server/notify/mail.hpp"
#include "server/notify/webhook.hpp"

namespace fixwright::app {

struct DestinationConfig {
  alert::DeliveryRule rule;
  std::variant<notify::MailRoute, notify::WebhookRoute> route;
};

struct NotifyConfig {
  std::string page;  // address of the page, for links; empty: none
  std::vector<DestinationConfig> destinations;
};

/// Of [notify]. Secrets are read from their files here, so that a mistake shows at the start.
NotifyConfig read_notify(const ConfigTable& table);

}  // namespace fixwright::app
