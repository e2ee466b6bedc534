#include "station_agent/detect/rules.hpp"

#include <fmt/format.h>

#include <cmath>

#include "station_agent/detect/bin_plan.hpp"

namespace fixwright::agent::detect {
namespace {

class Problems {
 public:
  void range(const char* name, double value, double low, double high) {
    if (!(value >= low && value <= high)) {
      lines_.push_back(fmt::format("{} = {}: must be {} to {}", name, value, low, high));
    }
  }
  void say(std::string line) { lines_.push_back(std::move(line)); }
  [[nodiscard]] bool none() const { return lines_.empty(); }
  [[nodiscard]] std::vector<std::string> take() { return std::move(lines_); }

 private:
  std::vector<std::string> lines_;
};

void check_rules(const DetectionRules& rules, Problems& problems) {
  problems.range("open_snr_db", rules.open_snr_db, -10.0, 40.0);
  problems.range("close_snr_db", rules.close_snr_db, -13.0, 40.0);
  if (!(rules.close_snr_db < rules.open_snr_db)) {
    problems.say(fmt::format("close_snr_db = {}: must be below open_snr_db = {}",
                             rules.close_snr_db, rules.open_snr_db));
  }
  problems.range("hang, s", seconds(rules.hang), 0.0, 5.0);
  problems.range("shortest, s", seconds(rules.shortest), 0.0, 5.0);
  problems.range("integration, s", seconds(rules.integration), 0.01, 60.0);
  problems.range("step, s", seconds(rules.step), 0.001, 0.02);
  problems.range("floor_interval, s", seconds(rules.floor_interval), 0.02, 10.0);
  problems.range("occupied_share", rules.occupied_share, 0.5, 0.9999);
  problems.range("xdb", rules.xdb, 3.0, 60.0);
  problems.range("overload_share", rules.overload_share, 1e-9, 1.0);
  problems.range("dead_db", rules.dead_db, 6.0, 60.0);
  problems.range("deaf_db", rules.deaf_db, 6.0, 60.0);
}

void check_channel(const DetectorConfig& config, std::size_t index, const ChannelBins& bins,
                   Problems& problems) {
  const WatchedChannel& channel = config.channels[index];
  const double reach_hz =
      std::abs(channel.frequency_hz - config.centre_hz) + 0.5 * channel.bandwidth_hz;
  if (!(reach_hz <= 0.5 * config.rate_hz)) {
    problems.say(fmt::format(
        "channel {}: {:.4f} MHz, {} Hz wide, is not within the sampled {:.4f} to {:.4f} MHz",
        index + 1, channel.frequency_hz * 1e-6, channel.bandwidth_hz,
        (config.centre_hz - 0.5 * config.rate_hz) * 1e-6,
        (config.centre_hz + 0.5 * config.rate_hz) * 1e-6));
  } else if (bins.count < kFewestBins) {
    problems.say(fmt::format("channel {}: {} Hz is too narrow: at this rate it must be {:.0f} Hz",
                             index + 1, channel.bandwidth_hz,
                             static_cast<double>(kFewestBins + 1) * config.rate_hz /
                                 static_cast<double>(plan_bins(config).size)));
  }
}

}  // namespace

std::vector<std::string> problems_of(const DetectorConfig& config) {
  Problems problems;
  problems.range("rate_hz", config.rate_hz, 1e3, 1e8);
  problems.range("centre_hz", config.centre_hz, 0.0, 3e11);
  problems.range("elements", static_cast<double>(config.elements), 1.0, 32.0);
  check_rules(config.rules, problems);
  for (std::size_t i = 0; i < config.channels.size(); ++i) {
    problems.range(fmt::format("channel {}: bandwidth_hz", i + 1).c_str(),
                   config.channels[i].bandwidth_hz, 1.0, 1e8);
  }
  if (!problems.none()) {
    return problems.take();
  }
  const BinPlan plan = plan_bins(config);
  for (std::size_t i = 0; i < config.channels.size(); ++i) {
    check_channel(config, i, plan.channels[i], problems);
  }
  return problems.take();
}

}  // namespace fixwright::agent::detect
