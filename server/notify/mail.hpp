#pragma once
/// E-mail.

#include <optional>
#include <string>
#include <vector>

#include "server/notify/notification.hpp"
#include "server/notify/template.hpp"

namespace fixwright::notify {

struct MailRoute {
  std::string server;    // smtp://HOST:PORT, or smtps:// for TLS from the first byte
  bool starttls = true;  // of smtp://: nothing is sent without it
  std::string user;      // empty: no login
  std::string password;
  std::string from;             // an address
  std::vector<std::string> to;  // addresses, one or more
  Template subject;
  Template text;
};

/// NAME@DOMAIN in printable ASCII without blanks: what may stand in a header.
bool is_address(std::string_view text);

/// One word or several of RFC 2047 if need be, so that any subject fits a header.
std::string encoded_subject(std::string_view subject);

/// \return why it failed, in one line; nothing when the mail server took it.
std::optional<std::string> send_mail(const MailRoute& route, const Notification& notification,
                                     const Surroundings& around);

}  // namespace fixwright::notify
