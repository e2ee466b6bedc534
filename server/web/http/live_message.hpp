#pragma once
/// What /live says, one JSON object a message:
///   {"type": "hello"}    you hear every change from here on: now load what there is;
///   {"type": "changes", "emitters": [Feature…], "alerts": […]};
///   {"type": "reload"}   changes were lost: load everything again.

#include <memory>
#include <string>

#include "server/web/http/live_mailbox.hpp"
#include "server/web/http/page_port.hpp"
#include "server/web/http/station_names.hpp"

namespace fixwright::web {

using LiveText = std::shared_ptr<const std::string>;

LiveText hello_message();
LiveText reload_message();

/// Writes changes down for the browsers. Remembers station names and asks the port again only
/// when one is unknown. Not for two threads at once.
class LiveWriter {
 public:
  explicit LiveWriter(PagePort& port) : port_(port) {}

  /// Never throws: without a database, unknown stations go by their number. \pre not empty.
  [[nodiscard]] LiveText write(const Changes& changes);

 private:
  void learn_names(const Changes& changes);

  PagePort& port_;
  StationNames names_;
};

}  // namespace fixwright::web
