#pragma once
/// Up to when a station has told everything: what its heartbeats promise.

#include <optional>

#include "server/base/time.hpp"

namespace fixwright::agent {

class LowWatermark {
 public:
  /// \param hold  the most that the watermark stays behind now: what is older goes out as
  /// history, so that a station with a day of backlog does not stop the server's clock. At
  /// least as long as the source's own delay.
  explicit LowWatermark(Duration hold) : hold_(hold) {}

  /// The new watermark, never before an earlier one.
  /// \param source         what the source promises.
  /// \param oldest_unsent  asked after `source`, so that nothing slips between the two.
  TimePoint advance(TimePoint source, std::optional<TimePoint> oldest_unsent, TimePoint now);

 private:
  Duration hold_;
  std::optional<TimePoint> last_;
};

}  // namespace fixwright::agent
