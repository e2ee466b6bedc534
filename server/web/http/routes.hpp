#pragma once
/// Which request gets which answer. No sockets here: tests call it as the server does.

#include <string>
#include <utility>

#include "server/base/metrics.hpp"
#include "server/web/http/answer.hpp"
#include "server/web/http/page_files.hpp"
#include "server/web/http/page_port.hpp"

namespace fixwright::web {

class Routes {
 public:
  /// The first three must outlive it.
  /// \param sender  NAME@DOMAIN: whom the feed of alerts comes from.
  Routes(PagePort& port, const PageFiles& files, const Metrics& metrics,
         std::string sender = "fixwright@localhost")
      : port_(port), files_(files), metrics_(metrics), sender_(std::move(sender)) {}

  /// May block on the database. Never throws: what the port throws becomes 503, with the
  /// reason in the log and not in the answer.
  [[nodiscard]] Answer answer(const Request& request) const;

 private:
  [[nodiscard]] Answer route(const Request& request) const;

  PagePort& port_;
  const PageFiles& files_;
  const Metrics& metrics_;
  const std::string sender_;
};

}  // namespace fixwright::web
