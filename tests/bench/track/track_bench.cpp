/// CPU of the whole pipeline per 1000 bearings, beside that of one bare cross-fix for each
/// transmission of the same bearings: what everything but the fix itself costs.
///
///     track_bench [WORD]     only the cases whose name has this word

#include <fmt/core.h>

#include <cmath>
#include <ctime>
#include <string>
#include <string_view>

#include "server/locate/cross_fix.hpp"
#include "server/locate/pool.hpp"
#include "tests/support/scenario/feed.hpp"
#include "tests/support/scenario/map.hpp"

namespace fixwright::scenario {
namespace {

constexpr auto kStations = R"(
  A . . . B
  . . . . .
  . . . . .
  . . . . .
  D . . . C
)";

double cpu_s() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

GeoPoint somewhere(Dice& dice) {
  return {kOsmere.latitude_deg + 0.6 * (dice.uniform() - 0.5),
          kOsmere.longitude_deg + 0.8 * (dice.uniform() - 0.5)};
}

/// \param over_s  how long each speaks, every ten minutes on average.
std::vector<Source> talkers(int count, bool shared, double over_s, double hours) {
  Dice dice(1);
  std::vector<Source> all;
  for (int i = 0; i < count; ++i) {
    Source s{.position = somewhere(dice), .channel = shared ? 1 : i + 1};
    for (double t = 600.0 * dice.uniform(); t < 3600.0 * hours;
         t += over_s - 600.0 * std::log(1.0 - dice.uniform())) {
      s.on.push_back({t, t + over_s});
    }
    all.push_back(s);
  }
  return all;
}

double pipeline_s(const Map& map, const std::vector<Bearing>& bearings) {
  app::Pipeline pipeline({}, map.stations);
  const auto arriving = arrivals(bearings, 0.3, 0.0, 1);
  std::size_t told = 0;
  const double from = cpu_s();
  feed(pipeline, map.stations, arriving, {.step_s = 1.0},
       [&](TimePoint, const app::PipelineOutput& out) { told += out.fixes.size(); });
  const double took = cpu_s() - from;
  return told > 0 ? took : -1.0;
}

/// Bearings of one second are one fix.
double bare_fixes_s(const Map& map, const std::vector<Bearing>& bearings) {
  const double from = cpu_s();
  std::size_t accepted = 0;
  for (std::size_t i = 0; i < bearings.size();) {
    std::vector<Bearing> group;
    const TimePoint end = bearings[i].start + std::chrono::seconds{1};
    for (; i < bearings.size() && bearings[i].start < end; ++i) group.push_back(bearings[i]);
    accepted += locate::cross_fix(locate::pool(group, map.stations)).accepted() ? 1U : 0U;
  }
  const double took = cpu_s() - from;
  return accepted > 0 ? took : -1.0;
}

void measure(std::string_view name, std::string_view wanted, const std::vector<Source>& sources) {
  if (name.find(wanted) == std::string_view::npos) return;
  const Map map = draw(kStations, 15.0);
  const auto bearings = simulate(map.stations, sources, {.clutter = 0.05});
  const double thousands = static_cast<double>(bearings.size()) / 1000.0;
  const double whole_ms = 1000.0 * pipeline_s(map, bearings) / thousands;
  const double bare_ms = 1000.0 * bare_fixes_s(map, bearings) / thousands;
  fmt::print("{:<24} {:>7} bearings: {:6.2f} ms per 1000, bare cross-fixes {:6.2f}, ratio {:.1f}\n",
             name, bearings.size(), whole_ms, bare_ms, whole_ms / bare_ms);
}

}  // namespace
}  // namespace fixwright::scenario

int main(int argc, char** argv) {
  using namespace fixwright::scenario;
  const std::string_view wanted = argc > 1 ? argv[1] : "";
  measure("30 on own channels", wanted, talkers(30, false, 0.5, 24.0));
  measure("3 on one channel", wanted, talkers(3, true, 0.5, 24.0));
  measure("30 with long overs", wanted, talkers(30, false, 20.0, 2.0));
}
