#include "server/app/drift_watch.hpp"

#include <algorithm>
#include <chrono>
#include <utility>

#include "server/store/azimuth_hours.hpp"
#include "server/store/calibration_book.hpp"

namespace fixwright::app {

DriftWatch::DriftWatch(const DriftWatchRules& rules, store::Database& database, const Clock& clock,
                       std::function<void(CalibrationDrift)> tell)
    : rules_(rules),
      database_(database),
      clock_(clock),
      tell_(std::move(tell)),
      poller_({rules.interval, "no drift of a station is looked for"}, [this] { look(); }) {}

std::map<StationId, std::vector<AzimuthHour>> hours_by_station(
    const std::vector<AzimuthHour>& hours, const Calibrations& accepted) {
  std::map<StationId, TimePoint> begins;
  for (const auto& [station, calibrations] : accepted) {
    for (const Calibration& c : calibrations) {
      TimePoint& begin = begins.try_emplace(station, c.valid_from).first->second;
      begin = std::max(begin, c.valid_from);
    }
  }
  std::map<StationId, std::vector<AzimuthHour>> by_station;
  for (const AzimuthHour& h : hours) {
    const auto begin = begins.find(h.station);
    std::vector<AzimuthHour>& own = by_station[h.station];
    if (begin == begins.end() || h.hour >= begin->second) own.push_back(h);
  }
  return by_station;
}

void DriftWatch::read_new_hours(TimePoint now) {
  const TimePoint begin = std::chrono::floor<std::chrono::hours>(now - rules_.window);
  const TimePoint end = std::chrono::floor<std::chrono::hours>(now - rules_.settled);
  std::erase_if(hours_, [&](const AzimuthHour& h) { return h.hour < begin; });
  const TimePoint from = std::max(begin, read_to_);
  if (end <= from) return;
  const auto read = store::azimuth_hours(database_, from, end);
  hours_.insert(hours_.end(), read.begin(), read.end());
  read_to_ = end;
}

/// A drift that an accepted calibration takes off is told no longer.
CalibrationDrift DriftWatch::begun_anew(StationId station) const {
  CalibrationDrift d;
  d.station = station;
  d.at = clock_.now();
  d.sigma_deg = rules_.chart.hour_sigma_deg;
  d.evidence = "a calibration was accepted: its azimuths are learnt anew";
  return d;
}

void DriftWatch::look() {
  const Calibrations accepted = store::CalibrationBook(database_).accepted();
  read_new_hours(clock_.now());
  for (const auto& [station, hours] : hours_by_station(hours_, accepted)) {
    if (auto drift = calibrate::drift(hours, rules_.chart)) {
      tell_(std::move(*drift));
    } else if (accepted.count(station) != 0) {
      tell_(begun_anew(station));
    }
  }
}

}  // namespace fixwright::app
