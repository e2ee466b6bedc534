#pragma once
/// Who is to be told of an alert, and when.

#include <string>
#include <string_view>

#include "server/base/time.hpp"

namespace fixwright {

/// Why somebody is told: an alert is new, or nobody has acknowledged it for long.
enum class DeliveryOccasion { raised, escalated };
std::string_view to_string(DeliveryOccasion o);

struct Delivery {
  std::string alert;        // its id
  std::string destination;  // as configured
  DeliveryOccasion occasion = DeliveryOccasion::raised;
  TimePoint not_before;
  bool gathered = false;  // may come in one message with others of the same time
  friend bool operator==(const Delivery&, const Delivery&) = default;
};

}  // namespace fixwright
