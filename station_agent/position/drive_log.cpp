#include "station_agent/position/drive_log.hpp"

#include <algorithm>
#include <cmath>

#include "server/base/angle.hpp"

namespace fixwright::agent {

namespace {

constexpr std::size_t kMostReports = 100'000;
constexpr double kAcceleration_m_per_s2 = 2.5;
constexpr double kTurn_deg_per_s = 5.0;
constexpr double kSpeedSigma_m_per_s = 0.2;  // of a receiver's Doppler speed; from memory
constexpr double kUntoldSpeed_m_per_s = 15.0;
constexpr double kMetresInDegree = 111'195.0;  // of latitude, mean; steps here are short

/// The entries on both sides of a moment, each absent where it is too far away.
template <typename T>
struct Neighbours {
  const T* before = nullptr;
  const T* after = nullptr;
  double to_before_s = 0.0;
  double to_after_s = 0.0;

  [[nodiscard]] bool both() const { return before != nullptr && after != nullptr; }
  [[nodiscard]] const T* any() const { return before != nullptr ? before : after; }
  [[nodiscard]] double nearest_s() const {
    if (both()) return std::min(to_before_s, to_after_s);
    return before != nullptr ? to_before_s : to_after_s;
  }
  /// Share of `after`, [0, 1].
  [[nodiscard]] double share() const {
    const double gap_s = to_before_s + to_after_s;
    return gap_s > 0.0 ? to_before_s / gap_s : 0.0;
  }
};

/// \param useful  whether an entry says what is looked for.
template <typename T, typename Useful>
Neighbours<T> neighbours(const std::deque<T>& entries, TimePoint t, double max_age_s,
                         Useful useful) {
  Neighbours<T> found;
  const auto next = std::upper_bound(entries.begin(), entries.end(), t,
                                     [](TimePoint at, const T& e) { return at < e.at; });
  for (auto i = next; i != entries.begin() && found.before == nullptr;) {
    --i;
    found.to_before_s = seconds(t - i->at);
    if (found.to_before_s > max_age_s) break;
    if (useful(*i)) found.before = &*i;
  }
  for (auto i = next; i != entries.end() && found.after == nullptr; ++i) {
    found.to_after_s = seconds(i->at - t);
    if (found.to_after_s > max_age_s) break;
    if (useful(*i)) found.after = &*i;
  }
  return found;
}

double turned(double from_deg, double to_deg, double share) {
  return wrap_360(from_deg + share * wrap_180(to_deg - from_deg));
}

GeoPoint between(GeoPoint a, GeoPoint b, double share) {
  return {a.latitude_deg + share * (b.latitude_deg - a.latitude_deg),
          wrap_180(a.longitude_deg + share * wrap_180(b.longitude_deg - a.longitude_deg))};
}

GeoPoint moved(GeoPoint from, double course_deg, double way_m) {
  const double north_deg = way_m * std::cos(course_deg * kDegToRad) / kMetresInDegree;
  const double shrink = std::max(std::cos(from.latitude_deg * kDegToRad), 1e-6);
  const double east_deg = way_m * std::sin(course_deg * kDegToRad) / kMetresInDegree / shrink;
  return {std::clamp(from.latitude_deg + north_deg, -90.0, 90.0),
          wrap_180(from.longitude_deg + east_deg)};
}

template <typename T>
void take_over(const std::optional<T>& told, std::optional<T>& kept) {
  if (told) kept = told;
}

}  // namespace

std::optional<TimePoint> DriveLog::time_of(const NavReport& report,
                                           std::optional<TimePoint> now) const {
  const auto reference = now ? now : told_;
  if (!report.time_of_day) return reference;
  if (report.date) return TimePoint{*report.date} + *report.time_of_day;
  if (!reference) return std::nullopt;
  constexpr Duration kDay = std::chrono::hours{24};
  const TimePoint today = std::chrono::floor<std::chrono::days>(*reference) + *report.time_of_day;
  if (today - *reference > kDay / 2) return today - kDay;
  return *reference - today > kDay / 2 ? today + kDay : today;
}

void DriveLog::add(const NavReport& report, std::optional<TimePoint> now) {
  if (report.variation_deg) variation_deg_ = report.variation_deg;
  const auto at = time_of(report, now);
  if (!at) return;
  if (report.time_of_day && (!now || report.date || report.position)) told_ = *at;
  add_fix(report, *at);
  add_bow(report, *at);
}

/// Sentences of one moment make one fix; a course without a time belongs to the last one.
void DriveLog::add_fix(const NavReport& report, TimePoint at) {
  if (!report.position && !report.speed_m_per_s && !report.sigma_m) return;
  const bool timeless = !report.time_of_day && !report.position;
  if (timeless && fixes_.empty()) return;
  if (!timeless && (fixes_.empty() || fixes_.back().at < at)) fixes_.emplace_back().at = at;
  Fix& fix = fixes_.back();
  if (!timeless && fix.at != at) return;  // time went back
  take_over(report.position, fix.position);
  take_over(report.height_m, fix.height_m);
  take_over(report.hdop, fix.hdop);
  take_over(report.sigma_m, fix.sigma_m);
  if (report.speed_m_per_s) {
    fix.speed_m_per_s = report.speed_m_per_s;
    fix.course_deg = report.course_deg;
  }
  if (fixes_.size() > kMostReports) fixes_.pop_front();
}

void DriveLog::add_bow(const NavReport& report, TimePoint at) {
  std::optional<double> bow = report.heading_deg;
  const auto variation = variation_deg_ ? variation_deg_ : rules_.declination_deg;
  if (!bow && report.magnetic_heading_deg && variation) {
    bow = wrap_360(*report.magnetic_heading_deg + *variation);
  }
  if (!bow || (!bows_.empty() && bows_.back().at > at)) return;
  bows_.push_back({at, *bow});
  if (bows_.size() > kMostReports) bows_.pop_front();
}

double DriveLog::sigma_m(const Fix& fix) const {
  if (fix.sigma_m) return *fix.sigma_m;
  if (fix.hdop) return *fix.hdop * rules_.uere_m / std::sqrt(2.0);
  return rules_.position_sigma_m;
}

std::optional<Place> DriveLog::place(TimePoint t) const {
  const auto near =
      neighbours(fixes_, t, rules_.max_age_s, [](const Fix& f) { return f.position.has_value(); });
  const Fix* fix = near.any();
  if (fix == nullptr) return std::nullopt;
  Place p{*fix->position, fix->height_m, sigma_m(*fix), fix->speed_m_per_s.value_or(0.0)};
  if (near.both()) {
    p.position = between(*near.before->position, *near.after->position, near.share());
    p.sigma_m = std::max(p.sigma_m, sigma_m(*near.after));
  } else if (fix->course_deg) {
    const double sense = near.before != nullptr ? 1.0 : -1.0;
    p.position = moved(p.position, *fix->course_deg, sense * p.speed_m_per_s * near.nearest_s());
  }
  double unknown_m = 0.5 * kAcceleration_m_per_s2 * near.nearest_s() * near.nearest_s();
  // It may drive, and nobody says how fast.
  if (!near.both() && !fix->speed_m_per_s) unknown_m += kUntoldSpeed_m_per_s * near.nearest_s();
  p.sigma_m = std::hypot(p.sigma_m, unknown_m);
  return p;
}

std::optional<Heading> DriveLog::compass(TimePoint t) const {
  const auto near = neighbours(bows_, t, rules_.max_age_s, [](const Bow&) { return true; });
  if (near.any() == nullptr) return std::nullopt;
  Heading h;
  h.azimuth_deg = near.both()
                      ? turned(near.before->azimuth_deg, near.after->azimuth_deg, near.share())
                      : near.any()->azimuth_deg;
  h.sigma_deg = std::hypot(rules_.heading_sigma_deg, kTurn_deg_per_s * near.nearest_s());
  return h;
}

/// Only while every report around the moment shows it driving: who stops may have turned.
std::optional<Heading> DriveLog::course(TimePoint t) const {
  const auto near = neighbours(fixes_, t, rules_.max_age_s,
                               [](const Fix& f) { return f.speed_m_per_s.has_value(); });
  const auto drives = [&](const Fix* f) {
    return f == nullptr || (f->course_deg && *f->speed_m_per_s >= rules_.min_course_speed_m_per_s);
  };
  if (near.any() == nullptr || !drives(near.before) || !drives(near.after)) return std::nullopt;
  Heading h;
  h.azimuth_deg = near.both()
                      ? turned(*near.before->course_deg, *near.after->course_deg, near.share())
                      : *near.any()->course_deg;
  const double doppler_deg =
      std::atan(kSpeedSigma_m_per_s / *near.any()->speed_m_per_s) * kRadToDeg;
  h.sigma_deg = std::hypot(std::hypot(rules_.course_sigma_deg, doppler_deg),
                           kTurn_deg_per_s * near.nearest_s());
  return h;
}

Whereabouts DriveLog::at(TimePoint t) const {
  Whereabouts w;
  w.place = place(t);
  switch (rules_.heading) {
    case HeadingFrom::fixed:
      w.heading = Heading{rules_.fixed_heading_deg, rules_.heading_sigma_deg};
      break;
    case HeadingFrom::course:
      w.heading = course(t);
      break;
    case HeadingFrom::compass:
      w.heading = compass(t);
      break;
    case HeadingFrom::any:
      w.heading = compass(t);
      if (!w.heading) w.heading = course(t);
      break;
  }
  return w;
}

std::optional<TimePoint> DriveLog::newest() const { return told_; }

}  // namespace fixwright::agent
