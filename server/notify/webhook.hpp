#pragma once
/// Web requests: JSON, signed.

#include <optional>
#include <string>

#include "server/notify/notification.hpp"

namespace fixwright::notify {

struct WebhookRoute {
  std::string url;     // http:// or https://
  std::string secret;  // signs; not empty
};

/// {"key": …, "occasion": "raised"|"escalated", "alerts": [{…}]}
std::string webhook_body(const Notification& notification, const Surroundings& around);

/// POSTs it, with the headers
///     Idempotency-Key: the key, for who drops what comes twice
///     Fixwright-Signature: t=UNIX SECONDS,v1=HMAC-SHA-256 of "t.body"
/// \return why it failed, in one line; nothing when it was answered with a status of 200 to 299.
std::optional<std::string> send_webhook(const WebhookRoute& route, const Notification& notification,
                                        const Surroundings& around);

}  // namespace fixwright::notify
