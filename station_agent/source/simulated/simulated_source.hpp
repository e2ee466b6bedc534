#pragma once
/// A station's bearings out of a scenario, as time goes by.

#include <optional>
#include <string>

#include "server/base/clock.hpp"
#include "station_agent/source/simulated/scenario.hpp"
#include "station_agent/source/source.hpp"

namespace fixwright::agent {

/// The bearings of one station whose integration ends in (from, to], by time of their end.
std::vector<SourceBearing> bearings_between(const Scenario& scenario,
                                            const SimulatedStation& station, TimePoint from,
                                            TimePoint to);

class SimulatedSource final : public Source {
 public:
  /// Begins now. \param lasts  0: for ever. \pre `station` is of the scenario.
  SimulatedSource(Scenario scenario, const std::string& station, Duration lasts,
                  const Clock& clock);
  SourceBatch read(Duration patience) override;

 private:
  Scenario scenario_;
  const SimulatedStation* station_;
  const Clock& clock_;
  TimePoint told_until_;
  std::optional<TimePoint> end_;
};

}  // namespace fixwright::agent
