#pragma once
/// What is remembered of when an emitter is on the air, and of who then hears it.

#include <optional>
#include <vector>

#include "server/model/ids.hpp"

namespace fixwright::track {

/// Shares of the channel's last transmissions, some two hundred; before there are any, what is
/// likely of an emitter that was just found. Probabilities, in (0, 1).
class Habits {
 public:
  /// That it is on the air in a transmission of its channel.
  [[nodiscard]] double on_air() const;
  /// That the station hears it when it is on the air; nothing of a station that never did.
  [[nodiscard]] std::optional<double> heard_by(StationId station) const;

  /// One more transmission of the channel.
  /// \param on_air  the probability that the emitter was on the air.
  void count_transmission(double on_air);
  /// And that the station then heard it. Of a station that never heard it, small ones are noise.
  void count_station(StationId station, double on_air, double heard);

  /// Those of one that was on the air in this share of the times.
  [[nodiscard]] Habits of_share(double share) const;

  /// For memory.hpp.
  template <typename Visit>
  void each_field(Visit& visit) {
    visit(transmissions_, on_air_, stations_);
  }

 private:
  struct AtStation {
    StationId station = 0;
    double on_air = 0.0;
    double heard = 0.0;

    template <typename Visit>
    void each_field(Visit& visit) {
      visit(station, on_air, heard);
    }
  };

  double transmissions_ = 0.0;
  double on_air_ = 0.0;
  std::vector<AtStation> stations_;
};

}  // namespace fixwright::track
