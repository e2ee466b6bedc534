#pragma once
/// Messages about alerts that wait to be delivered.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "server/model/delivery.hpp"
#include "server/model/views.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// What a destination is to be told together: one alert, or those that were gathered for it.
struct DueMessage {
  std::string destination;
  DeliveryOccasion occasion = DeliveryOccasion::raised;
  TimePoint not_before;
  int tries = 0;                  // that failed
  std::vector<AlertView> alerts;  // one or more, the oldest first

  /// The same message has the same key whenever it is sent.
  [[nodiscard]] std::string key() const;
};

/// What became of a try.
struct Told {
  std::optional<std::string> error;    // why it failed; none: it was delivered
  std::optional<TimePoint> try_again;  // none, after a failure: nobody tries again
};

class Outbox {
 public:
  explicit Outbox(Database& database) : database_(database) {}

  /// Takes one message that is due at `now`, hands it to `tell`, and writes down what became of
  /// it, in one transaction: a process that dies in between leaves it to be told again, with the
  /// same key. Two couriers never take the same one. An escalation that has become needless is
  /// done with untold.
  /// \return false when none is due. Throws DatabaseAway (call again) or DatabaseRefused.
  bool deliver_one(TimePoint now, const std::function<Told(const DueMessage&)>& tell);

 private:
  Database& database_;
};

}  // namespace fixwright::store
