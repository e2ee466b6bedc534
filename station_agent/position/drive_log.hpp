#pragma once
/// Where a vehicle was and where its bow pointed, at any moment of its drive, and how well that is
/// known. Pure.

#include <deque>
#include <optional>

#include "station_agent/position/nav_report.hpp"

namespace fixwright::agent {

/// Which heading counts. `any`: the compass; where it is silent, the course.
enum class HeadingFrom { any, compass, course, fixed };

struct NavRules {
  /// User equivalent range error, m: with the sentence's HDOP it gives the position's error where
  /// the receiver does not say it: sigma of one axis = HDOP x UERE / sqrt(2). (E. D. Kaplan, C. J.
  /// Hegarty, Understanding GPS, 2006, 7.3; from memory.) 0.1 to 100.
  double uere_m = 5.0;
  double position_sigma_m = 15.0;  // where neither error nor HDOP is told; 0.01 to 10 000
  double max_age_s = 2.0;          // farther from a report nothing is known; 0.1 to 60
  HeadingFrom heading = HeadingFrom::any;
  double fixed_heading_deg = 0.0;           // for HeadingFrom::fixed, [0, 360)
  double heading_sigma_deg = 2.0;           // of a compass or the fixed heading; 0.01 to 90
  double course_sigma_deg = 3.0;            // course against the bow: drift and crab; 0.01 to 90
  double min_course_speed_m_per_s = 2.0;    // slower, a course says nothing of the bow; 0.5 to 50
  std::optional<double> declination_deg{};  // where HDG tells no variation; east positive
};

struct Place {
  GeoPoint position;
  std::optional<double> height_m;
  double sigma_m = 0.0;  // one axis, > 0
  double speed_m_per_s = 0.0;
};

struct Heading {
  double azimuth_deg = 0.0;  // of the bow, from true north, [0, 360)
  double sigma_deg = 0.0;    // > 0
};

struct Whereabouts {
  std::optional<Place> place;
  std::optional<Heading> heading;
};

/// Keeps the last 100 000 reports, a day at one a second.
class DriveLog {
 public:
  explicit DriveLog(NavRules rules) : rules_(rules) {}

  /// \param now  when the report came: its time where it tells none, and the day of a report that
  ///   tells only the time of day. Absent for a recording: then the last time told counts, and
  ///   what comes before the first date is passed over.
  void add(const NavReport& report, std::optional<TimePoint> now);

  /// Between two reports by interpolation, after the last by dead reckoning; nothing where no
  /// report lies within rules.max_age_s. Errors grow with the time to the nearest report: of the
  /// place by half an acceleration of 2.5 m/s^2 (brisk braking of a car; common practice, no
  /// source), of the heading by 5 degrees a second (a bend of 100 m at 30 km/h).
  [[nodiscard]] Whereabouts at(TimePoint t) const;

  /// Time of the last report that told one.
  [[nodiscard]] std::optional<TimePoint> newest() const;

 private:
  struct Fix {
    TimePoint at;
    std::optional<GeoPoint> position;
    std::optional<double> height_m;
    std::optional<double> hdop;
    std::optional<double> sigma_m;
    std::optional<double> speed_m_per_s;
    std::optional<double> course_deg;
  };
  struct Bow {
    TimePoint at;
    double azimuth_deg = 0.0;
  };

  [[nodiscard]] std::optional<TimePoint> time_of(const NavReport& report,
                                                 std::optional<TimePoint> now) const;
  void add_fix(const NavReport& report, TimePoint at);
  void add_bow(const NavReport& report, TimePoint at);
  [[nodiscard]] double sigma_m(const Fix& fix) const;
  [[nodiscard]] std::optional<Place> place(TimePoint t) const;
  [[nodiscard]] std::optional<Heading> compass(TimePoint t) const;
  [[nodiscard]] std::optional<Heading> course(TimePoint t) const;

  NavRules rules_;
  std::deque<Fix> fixes_;  // by time
  std::deque<Bow> bows_;   // by time
  std::optional<double> variation_deg_;
  std::optional<TimePoint> told_;
};

}  // namespace fixwright::agent
