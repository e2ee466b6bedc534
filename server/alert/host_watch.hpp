#pragma once
/// Alerts about the room that the server's machine and its database have left.

#include <vector>

#include "server/alert/event_book.hpp"
#include "server/alert/rules.hpp"
#include "server/model/host_state.hpp"

namespace fixwright::alert {

class HostWatch {
 public:
  /// \param book  outlives it.
  explicit HostWatch(EventBook& book) : book_(book) {}

  std::vector<Alert> on_host(const AlertRules& rules, const HostState& state);

 private:
  EventBook& book_;
};

}  // namespace fixwright::alert
