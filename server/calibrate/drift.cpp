#include "server/calibrate/drift.hpp"

#include <fmt/core.h>

#include <cmath>
#include <map>
#include <tuple>
#include <utility>
#include <vector>

#include "server/base/angle.hpp"
#include "server/calibrate/cusum.hpp"
#include "server/calibrate/median.hpp"

namespace fixwright::calibrate {

namespace {

constexpr double kReference = 0.5;        // k: a shift of one sigma is to be found
constexpr std::size_t kRecentHours = 24;  // behind the residual that is told

/// The azimuth of one emitter in its first hours.
class Baseline {
 public:
  [[nodiscard]] bool known() const { return !spread_.empty(); }
  [[nodiscard]] double off_deg(double azimuth_deg) const {
    return wrap_180(azimuth_deg - middle_deg_);
  }
  /// How far its own values lay from their median, degrees, >= 0.
  [[nodiscard]] const std::vector<double>& spread() const { return spread_; }

  void learn(double azimuth_deg, int enough) {
    if (first_.empty()) middle_deg_ = azimuth_deg;
    first_.push_back(off_deg(azimuth_deg));
    if (static_cast<int>(first_.size()) < enough) return;
    const double middle = median(first_);
    for (const double off : first_) spread_.push_back(std::abs(off - middle));
    middle_deg_ = wrap_360(middle_deg_ + middle);
  }

 private:
  double middle_deg_ = 0.0;
  std::vector<double> first_, spread_;
};

struct Value {
  TimePoint hour;
  double off_deg = 0.0;
  double sigma_deg = 1.0;
  std::size_t emitters = 0;
};

class Chart {
 public:
  explicit Chart(const DriftRules& rules) : rules_(rules) {}

  void add(TimePoint hour, const std::vector<AzimuthHour>& of_hour);
  [[nodiscard]] std::optional<CalibrationDrift> verdict(StationId station) const;

 private:
  [[nodiscard]] double sigma_of(std::size_t emitters) const;
  void look_for_drift(const Value& v);
  void look_for_return(const Value& v);
  [[nodiscard]] std::pair<double, double> mean_since(std::size_t first) const;
  void learn(const AzimuthHour& h);

  const DriftRules rules_;
  std::map<EmitterKey, Baseline> baselines_;
  std::vector<double> spread_;  // of all baselines
  double emitter_sigma_deg_ = 0.0;
  std::vector<Value> values_;
  Cusum sums_;
  std::size_t high_since_ = 0, low_since_ = 0;  // index of the first value in each sum
  bool drifted_ = false;
  std::size_t since_ = 0;  // of the drift
  double shift_deg_ = 0.0;
  double returned_ = 0.0;  // what speaks for the old azimuths again
};

void Chart::learn(const AzimuthHour& h) {
  Baseline& baseline = baselines_[h.emitter];
  baseline.learn(h.azimuth_deg, rules_.baseline_hours);
  if (!baseline.known()) return;
  spread_.insert(spread_.end(), baseline.spread().begin(), baseline.spread().end());
  emitter_sigma_deg_ = kMadToSigma * median(spread_);
}

/// Of the median over so many emitters, each less its baseline, which has an error too.
double Chart::sigma_of(std::size_t emitters) const {
  const double of_median =
      kMedianToMean * emitter_sigma_deg_ *
      std::sqrt((1.0 + 1.0 / rules_.baseline_hours) / static_cast<double>(emitters));
  return std::hypot(of_median, rules_.hour_sigma_deg);
}

void Chart::add(TimePoint hour, const std::vector<AzimuthHour>& of_hour) {
  std::vector<double> off;
  for (const AzimuthHour& h : of_hour) {
    const auto known = baselines_.find(h.emitter);
    if (known != baselines_.end() && known->second.known()) {
      off.push_back(known->second.off_deg(h.azimuth_deg));
    } else if (!drifted_) {
      learn(h);
    }
  }
  if (off.size() < rules_.min_emitters) return;
  const Value v{hour, median(off), sigma_of(off.size()), off.size()};
  values_.push_back(v);
  if (drifted_) {
    look_for_return(v);
  } else {
    look_for_drift(v);
  }
}

void Chart::look_for_drift(const Value& v) {
  const std::size_t now = values_.size() - 1;
  if (sums_.high == 0.0) high_since_ = now;
  if (sums_.low == 0.0) low_since_ = now;
  sums_.add(v.off_deg / v.sigma_deg, kReference);
  if (std::max(sums_.high, sums_.low) <= rules_.decision_sigmas) return;
  drifted_ = true;
  since_ = sums_.high > sums_.low ? high_since_ : low_since_;
  shift_deg_ = mean_since(since_).first;
  returned_ = 0.0;
}

/// The same sum the other way: from the shift, whose half is the reference value, back to zero.
void Chart::look_for_return(const Value& v) {
  const double away = std::copysign(1.0, shift_deg_) * v.off_deg;
  returned_ = std::max(0.0, returned_ + (std::abs(shift_deg_) / 2.0 - away) / v.sigma_deg);
  if (returned_ <= rules_.decision_sigmas) return;
  drifted_ = false;
  sums_ = {};
}

/// Mean of the last values, at most kRecentHours, none before `first`; and its sigma.
std::pair<double, double> Chart::mean_since(std::size_t first) const {
  if (values_.size() > kRecentHours) first = std::max(first, values_.size() - kRecentHours);
  double weights = 0.0;
  double sum = 0.0;
  for (std::size_t i = first; i < values_.size(); ++i) {
    const double weight = 1.0 / (values_[i].sigma_deg * values_[i].sigma_deg);
    weights += weight;
    sum += weight * values_[i].off_deg;
  }
  return {sum / weights, 1.0 / std::sqrt(weights)};
}

std::optional<CalibrationDrift> Chart::verdict(StationId station) const {
  if (values_.empty()) return std::nullopt;
  CalibrationDrift d;
  d.station = station;
  d.at = values_.back().hour;
  d.drifted = drifted_;
  std::tie(d.residual_deg, d.sigma_deg) = mean_since(drifted_ ? since_ : 0);
  d.emitters = values_.back().emitters;
  d.evidence = fmt::format(
      "{} still emitters, the last 24 hours at most: {:+.2f} deg (sigma {:.2f}) from the azimuths "
      "of each one's first {} hours{}",
      d.emitters, d.residual_deg, d.sigma_deg, rules_.baseline_hours,
      drifted_ ? ", since " + format_rfc3339(values_[since_].hour) : "");
  return d;
}

}  // namespace

std::optional<CalibrationDrift> drift(std::span<const AzimuthHour> hours, const DriftRules& rules) {
  std::map<TimePoint, std::vector<AzimuthHour>> by_hour;
  for (const AzimuthHour& h : hours) by_hour[h.hour].push_back(h);
  Chart chart(rules);
  for (const auto& [hour, of_hour] : by_hour) chart.add(hour, of_hour);
  return hours.empty() ? std::nullopt : chart.verdict(hours.front().station);
}

}  // namespace fixwright::calibrate
