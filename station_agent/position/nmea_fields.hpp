#pragma once
/// The fields of one sentence, read by place. Inside `position` only.

#include <cmath>
#include <optional>
#include <string>
#include <string_view>

#include "server/base/angle.hpp"
#include "station_agent/position/nmea.hpp"

namespace fixwright::agent {

/// A field that is empty or not there gives nothing; one that is wrong gives nothing and becomes
/// the sentence's error, unless there is one already. Fields count from 0, after the address.
class NmeaFields {
 public:
  explicit NmeaFields(const NmeaSentence& sentence) : sentence_(sentence) {}

  [[nodiscard]] std::string_view text(std::size_t field) const;
  std::optional<double> number(std::size_t field, double least, double most);
  /// hhmmss.ss; 60 s in a leap second.
  std::optional<Duration> time_of_day(std::size_t field);
  /// ddmmyy, of this century.
  std::optional<std::chrono::sys_days> date(std::size_t field);
  /// Four fields: ddmm.mm, N or S, dddmm.mm, E or W.
  std::optional<GeoPoint> position(std::size_t first);
  /// 0 to 360 degrees, as [0, 360).
  std::optional<double> azimuth(std::size_t field);
  /// Two fields: degrees, E (positive) or W.
  std::optional<double> east_or_west(std::size_t first);
  std::optional<double> speed_from_knots(std::size_t field);
  /// Whether the status is A and the mode, where there is one, is_real().
  [[nodiscard]] bool is_valid(std::size_t status, std::size_t mode) const;
  /// Whether a mode is absent or tells a measured fix: not N (none), M (typed in), S (simulated).
  [[nodiscard]] bool is_real(std::size_t mode) const;

  [[nodiscard]] const std::optional<std::string>& error() const { return error_; }

 private:
  void complain(std::size_t field, std::string_view rule);
  std::optional<double> degrees(std::size_t field, std::string_view positive,
                                std::string_view negative, double most_deg);

  const NmeaSentence& sentence_;
  std::optional<std::string> error_;
};

}  // namespace fixwright::agent
