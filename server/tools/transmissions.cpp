#include "server/tools/transmissions.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

namespace fixwright::tools {

namespace {

/// A transmission that may go on.
struct OpenTransmission {
  std::vector<Bearing> bearings;
  double frequency_sum_hz = 0.0;
  TimePoint last_end;

  [[nodiscard]] double mean_hz() const {
    return frequency_sum_hz / static_cast<double>(bearings.size());
  }
};

class Cutter {
 public:
  explicit Cutter(const TransmissionRules& rules) : rules_(rules) {}

  void add(const Bearing& b) {
    close_before(b.start);
    OpenTransmission& home = home_of(b);
    home.last_end = home.bearings.empty() ? b.end() : std::max(home.last_end, b.end());
    home.bearings.push_back(b);
    home.frequency_sum_hz += b.frequency_hz;
  }

  std::vector<std::vector<Bearing>> finish() {
    for (OpenTransmission& t : open_) {
      done_.push_back(std::move(t.bearings));
    }
    open_.clear();
    std::sort(done_.begin(), done_.end(),
              [](const auto& a, const auto& b) { return EventOrder{}(a.front(), b.front()); });
    return std::move(done_);
  }

 private:
  void close_before(TimePoint t) {
    const auto over = std::stable_partition(open_.begin(), open_.end(), [&](const auto& o) {
      return seconds(t - o.last_end) <= rules_.gap_s;
    });
    for (auto it = over; it != open_.end(); ++it) {
      done_.push_back(std::move(it->bearings));
    }
    open_.erase(over, open_.end());
  }

  OpenTransmission& home_of(const Bearing& b) {
    OpenTransmission* nearest = nullptr;
    double least_hz = rules_.frequency_tolerance_hz;
    for (OpenTransmission& o : open_) {
      const double apart_hz = std::abs(o.mean_hz() - b.frequency_hz);
      if (apart_hz <= least_hz) {
        least_hz = apart_hz;
        nearest = &o;
      }
    }
    return nearest != nullptr ? *nearest : open_.emplace_back();
  }

  TransmissionRules rules_;
  std::vector<OpenTransmission> open_;
  std::vector<std::vector<Bearing>> done_;
};

void number_channels(std::vector<Transmission>& transmissions, double tolerance_hz) {
  std::vector<std::size_t> by_frequency(transmissions.size());
  std::iota(by_frequency.begin(), by_frequency.end(), std::size_t{0});
  std::vector<double> mean_hz;
  for (const Transmission& t : transmissions) {
    mean_hz.push_back(mean_frequency_hz(t.bearings));
  }
  std::stable_sort(by_frequency.begin(), by_frequency.end(),
                   [&](auto a, auto b) { return mean_hz[a] < mean_hz[b]; });
  ChannelId channel = 0;
  double last_hz = 0.0;
  for (const std::size_t i : by_frequency) {
    if (channel == 0 || mean_hz[i] - last_hz > tolerance_hz) {
      ++channel;
    }
    last_hz = mean_hz[i];
    transmissions[i].key.channel = channel;
    for (Bearing& b : transmissions[i].bearings) {
      b.channel = channel;
    }
  }
}

}  // namespace

double mean_frequency_hz(const std::vector<Bearing>& bearings) {
  double sum_hz = 0.0;
  for (const Bearing& b : bearings) {
    sum_hz += b.frequency_hz;
  }
  return sum_hz / static_cast<double>(bearings.size());
}

std::vector<Transmission> cut_transmissions(std::vector<Bearing> bearings,
                                            const TransmissionRules& rules) {
  // EventOrder ends in the row's number; what the bearing says comes first here.
  std::sort(bearings.begin(), bearings.end(), [](const Bearing& a, const Bearing& b) {
    return std::tie(a.start, a.key.station, a.frequency_hz, a.azimuth_deg, a.sigma_deg,
                    a.key.sequence) < std::tie(b.start, b.key.station, b.frequency_hz,
                                               b.azimuth_deg, b.sigma_deg, b.key.sequence);
  });
  Cutter cutter{rules};
  for (const Bearing& b : bearings) {
    cutter.add(b);
  }
  std::vector<Transmission> transmissions;
  for (auto& of_one : cutter.finish()) {
    Transmission t;
    t.key.start = of_one.front().start;
    t.state = ResultState::final;
    t.end = of_one.front().end();
    for (const Bearing& b : of_one) {
      t.end = std::max(t.end, b.end());
    }
    t.bearings = std::move(of_one);
    transmissions.push_back(std::move(t));
  }
  number_channels(transmissions, rules.frequency_tolerance_hz);
  return transmissions;
}

}  // namespace fixwright::tools
