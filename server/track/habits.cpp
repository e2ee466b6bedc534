#include "server/track/habits.hpp"

#include <algorithm>

namespace fixwright::track {

namespace {

/// What is counted loses this share with every transmission: habits change.
constexpr double kForgotten = 1.0 / 200.0;
/// Before anything is counted: as if it had been on the air in one of two transmissions, and
/// heard in eight of ten; Laplace's rule of succession with a guess of the trade.
constexpr double kPriorOnAir = 1.0;
constexpr double kPriorTransmissions = 2.0;
constexpr double kPriorHeard = 4.0;
constexpr double kPriorLooks = 5.0;
/// A station is first known to hear it when it more likely did than not.
constexpr double kSurelyHeard = 0.5;

}  // namespace

double Habits::on_air() const {
  return (on_air_ + kPriorOnAir) / (transmissions_ + kPriorTransmissions);
}

std::optional<double> Habits::heard_by(StationId station) const {
  const auto at = std::find_if(stations_.begin(), stations_.end(),
                               [&](const AtStation& s) { return s.station == station; });
  if (at == stations_.end()) return std::nullopt;
  return (at->heard + kPriorHeard) / (at->on_air + kPriorLooks);
}

void Habits::count_transmission(double on_air) {
  transmissions_ += 1.0 - kForgotten * transmissions_;
  on_air_ += on_air - kForgotten * on_air_;
}

void Habits::count_station(StationId station, double on_air, double heard) {
  auto at = std::find_if(stations_.begin(), stations_.end(),
                         [&](const AtStation& s) { return s.station == station; });
  if (at == stations_.end()) {
    if (heard < kSurelyHeard) return;
    at = stations_.insert(stations_.end(), AtStation{station, 0.0, 0.0});
  }
  // What it forgets goes with its own transmissions, not with those of its neighbours.
  at->on_air += on_air * (1.0 - kForgotten * at->on_air);
  at->heard += heard - on_air * kForgotten * at->heard;
}

Habits Habits::of_share(double share) const {
  Habits part = *this;
  part.on_air_ *= share;
  for (AtStation& s : part.stations_) {
    s.on_air *= share;
    s.heard *= share;
  }
  return part;
}

}  // namespace fixwright::track
