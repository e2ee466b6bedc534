#pragma once
/// What somebody is told, before it becomes a letter or a web request.

#include <functional>
#include <string>
#include <vector>

#include "server/model/alert.hpp"

namespace fixwright::notify {

struct Notification {
  std::string key;  // the same whenever this is sent: whoever has it already drops a second one
  TimePoint at;     // now
  bool escalated = false;     // nobody acknowledged it for long
  std::vector<Alert> alerts;  // one or more, the oldest first
};

/// What a message says beside the alert itself.
struct Surroundings {
  std::function<std::string(StationId)> station_name;
  std::string page;  // address of the page, for links; empty: no links
};

/// Where a person looks at an alert; empty without a page.
std::string link_to(const Alert& alert, const std::string& page);

/// What goes with every message about a place.
inline constexpr auto kCaution = "An ellipse is evidence, never proof of who transmits.";

}  // namespace fixwright::notify
