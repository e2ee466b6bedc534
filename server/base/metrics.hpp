#pragma once
/// Counters and gauges, read out in the OpenMetrics text format. Safe from any thread.

#include <atomic>
#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace fixwright {

/// Label names and values, e.g. {{"station", "HILL-1"}, {"reason", "azimuth_range"}}. Their
/// order says nothing. Each new set of values stays for ever: no peer may choose them freely.
using Labels = std::vector<std::pair<std::string, std::string>>;

class Counter {
 public:
  void add(std::uint64_t n = 1) { value_ += n; }
  [[nodiscard]] std::uint64_t value() const { return value_; }

 private:
  std::atomic<std::uint64_t> value_{0};
};

class Gauge {
 public:
  void set(double v) { value_ = v; }
  [[nodiscard]] double value() const { return value_; }

 private:
  std::atomic<double> value_{0.0};
};

class Metrics {
 public:
  /// The same name and labels give the same counter; the reference stays valid as long as
  /// this object. Names end in their unit, without "_total", which the text adds. A name that
  /// OpenMetrics does not allow, or one name for both kinds, is our bug and stops the program.
  Counter& counter(std::string_view name, std::string_view help, const Labels& labels = {});
  Gauge& gauge(std::string_view name, std::string_view help, const Labels& labels = {});

  /// application/openmetrics-text; version=1.0.0; ends with "# EOF".
  [[nodiscard]] std::string openmetrics() const;

 private:
  struct Family {
    std::string help;
    std::map<std::string, std::unique_ptr<Counter>> counters;  // by rendered labels
    std::map<std::string, std::unique_ptr<Gauge>> gauges;
  };
  Family& family(std::string_view name, std::string_view help);

  mutable std::mutex mutex_;
  std::map<std::string, Family, std::less<>> families_;
};

}  // namespace fixwright
