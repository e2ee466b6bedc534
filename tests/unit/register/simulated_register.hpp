#pragma once
/// A made-up register round Osmere, and emitters that it knows or doesn't.

#include <random>

#include "server/geodesy/local_frame.hpp"
#include "server/register/register.hpp"

namespace fixwright::register_::testing {

inline constexpr GeoPoint kOsmere{41.20, -150.30};
inline constexpr double kSide_m = 100'000.0;
inline constexpr int kChannels = 100;
inline constexpr double kRaster_hz = 25'000.0;
inline constexpr double kSigmaRow_m = 100.0;

inline TimePoint noon() { return *parse_rfc3339("2031-05-04T12:00:00Z"); }

/// A confirmed still emitter with a round 1-sigma region.
inline Emitter emitter_at(GeoPoint position, double sigma_m, double frequency_hz) {
  Emitter e;
  e.key = {1017, 1};
  e.state = EmitterState::confirmed;
  e.fix.position = position;
  e.fix.covariance = {sigma_m * sigma_m, 0.0, sigma_m * sigma_m};
  e.frequency_hz = frequency_hz;
  e.first_heard = e.last_heard = e.valid_at = noon();
  return e;
}

inline Licence licence_at(std::string id, GeoPoint position, double frequency_hz) {
  Licence l;
  l.id = std::move(id);
  l.position = position;
  l.position_sigma_m = kSigmaRow_m;
  l.frequency_hz = frequency_hz;
  l.bandwidth_hz = 12'500.0;
  return l;
}

/// Licences spread evenly over a square of 100 km and a hundred channels.
class SimulatedRegister {
 public:
  explicit SimulatedRegister(int licences, unsigned seed = 1) : random_(seed) {
    for (int i = 0; i < licences; ++i) {
      rows_.push_back(licence_at("OSM-" + std::to_string(i), anywhere(), any_channel_hz()));
    }
  }

  [[nodiscard]] const std::vector<Licence>& rows() const { return rows_; }

  /// One of the register's own. Two rows in a hundred are wrong by 3 km an axis.
  Emitter licensed(double sigma_m) {
    const Licence& row = any_row();
    const bool wrong = std::bernoulli_distribution{0.02}(random_);
    const GeoPoint truth = scattered(row.position, wrong ? 3000.0 : kSigmaRow_m);
    return emitter_at(scattered(truth, sigma_m), sigma_m, row.frequency_hz);
  }

  /// At the place of a row that is right.
  Emitter at_a_row(double sigma_m) {
    const Licence& row = any_row();
    return emitter_at(scattered(scattered(row.position, kSigmaRow_m), sigma_m), sigma_m,
                      row.frequency_hz);
  }

  /// As the first tenth of the rows say, which ended_rows() lets end before noon.
  Emitter at_an_ended_row(double sigma_m) {
    const auto tenth = rows_.size() / 10;
    const Licence& row = rows_[std::uniform_int_distribution<std::size_t>{0, tenth - 1}(random_)];
    return emitter_at(scattered(scattered(row.position, kSigmaRow_m), sigma_m), sigma_m,
                      row.frequency_hz);
  }

  /// rows(), the first tenth of them ended.
  [[nodiscard]] std::vector<Licence> ended_rows() const {
    std::vector<Licence> rows = rows_;
    for (std::size_t i = 0; i < rows.size() / 10; ++i) rows[i].valid_until = noon() - Duration{1};
    return rows;
  }

  Emitter unlicensed(double sigma_m) { return emitter_at(anywhere(), sigma_m, any_channel_hz()); }

  GeoPoint scattered(GeoPoint p, double sigma_m) {
    std::normal_distribution<double> normal{0.0, sigma_m};
    const double east_m = normal(random_);
    return geodesy::displace(p, {east_m, normal(random_)});
  }

 private:
  const Licence& any_row() {
    return rows_[std::uniform_int_distribution<std::size_t>{0, rows_.size() - 1}(random_)];
  }
  GeoPoint anywhere() {
    std::uniform_real_distribution<double> uniform{-kSide_m / 2.0, kSide_m / 2.0};
    const double east_m = uniform(random_);
    return geodesy::displace(kOsmere, {east_m, uniform(random_)});
  }
  double any_channel_hz() {
    return 150e6 + kRaster_hz * std::uniform_int_distribution<int>{0, kChannels - 1}(random_);
  }

  std::mt19937_64 random_;
  std::vector<Licence> rows_;
};

}  // namespace fixwright::register_::testing
