#include "server/ingest/refusal.hpp"

namespace fixwright::ingest {

std::string_view to_string(RefusalReason r) {
  static constexpr std::array<std::string_view, kRefusalReasons.size()> kWords{
      "sequence_order",    "rate",          "time_range",
      "clock_error_range", "clock",         "integration_range",
      "frequency_range",   "azimuth_range", "sigma_range",
      "alternative_range", "level_range",   "bandwidth_range",
      "label_range",       "channel",       "position"};
  return kWords.at(static_cast<std::size_t>(r));
}

}  // namespace fixwright::ingest
