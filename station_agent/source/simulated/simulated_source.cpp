#include "station_agent/source/simulated/simulated_source.hpp"

#include <algorithm>
#include <cassert>
#include <thread>

#include "station_agent/source/simulated/measurement.hpp"

namespace fixwright::agent {

namespace {

/// Past this the agent slept, or the clock stepped: what it missed was never measured.
constexpr Duration kLongestGap = std::chrono::seconds{10};

std::int64_t floor_div(Duration a, Duration b) { return a / b - ((a % b) < Duration{0} ? 1 : 0); }

void add_emitter(const Scenario& scenario, const SimulatedStation& station,
                 const SimulatedEmitter& emitter, TimePoint from, TimePoint to,
                 std::vector<SourceBearing>& all) {
  // Measurement k begins within interval k, so it ends in interval k or k + 1.
  const std::int64_t last = floor_div(to - scenario.start, emitter.interval);
  for (auto k = floor_div(from - scenario.start, emitter.interval) - 1; k <= last; ++k) {
    const TimePoint end = measurement_start(scenario, station, emitter, k) + emitter.integration;
    if (end <= from || end > to) continue;
    if (auto b = measure(scenario, station, emitter, k)) all.push_back(std::move(*b));
  }
}

void add_clutter(const Scenario& scenario, const SimulatedStation& station, TimePoint from,
                 TimePoint to, std::vector<SourceBearing>& all) {
  const Duration second = std::chrono::seconds{1};
  const std::int64_t last = floor_div(to - scenario.start, second);
  for (auto k = floor_div(from - scenario.start, second) - 1; k <= last; ++k) {
    auto b = clutter(scenario, station, k);
    if (!b) continue;
    const TimePoint end = b->start + b->integration;
    if (end > from && end <= to) all.push_back(std::move(*b));
  }
}

}  // namespace

std::vector<SourceBearing> bearings_between(const Scenario& scenario,
                                            const SimulatedStation& station, TimePoint from,
                                            TimePoint to) {
  std::vector<SourceBearing> all;
  for (const SimulatedEmitter& e : scenario.emitters) {
    add_emitter(scenario, station, e, from, to, all);
  }
  add_clutter(scenario, station, from, to, all);
  std::stable_sort(all.begin(), all.end(), [](const SourceBearing& a, const SourceBearing& b) {
    return a.start + a.integration < b.start + b.integration;
  });
  return all;
}

SimulatedSource::SimulatedSource(Scenario scenario, const std::string& station, Duration lasts,
                                 const Clock& clock)
    : scenario_(std::move(scenario)),
      station_(scenario_.station(station)),
      clock_(clock),
      told_until_(clock.now()) {
  assert(station_ != nullptr);
  if (lasts > Duration{0}) end_ = told_until_ + lasts;
}

SourceBatch SimulatedSource::read(Duration patience) {
  std::this_thread::sleep_for(patience);
  SourceBatch batch;
  const TimePoint now = end_ ? std::min(clock_.now(), *end_) : clock_.now();
  const bool stepped = now < told_until_ || now - told_until_ > kLongestGap;
  if (!stepped) batch.bearings = bearings_between(scenario_, *station_, told_until_, now);
  told_until_ = now;
  // Clutter integrates 0.2 s, emitters what the scenario says.
  batch.low_watermark =
      now - std::max<Duration>(scenario_.longest_integration(), std::chrono::milliseconds{200});
  batch.ended = end_ && now >= *end_;
  return batch;
}

}  // namespace fixwright::agent
