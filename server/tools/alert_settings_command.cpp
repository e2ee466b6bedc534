#include "server/tools/alert_settings_command.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "server/base/clock.hpp"
#include "server/base/minute_of_day.hpp"
#include "server/base/text.hpp"
#include "server/report/table.hpp"
#include "server/store/alert_book.hpp"
#include "server/store/reader.hpp"
#include "server/tools/emitter_name.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

constexpr std::array<std::string_view, 7> kDays{"mon", "tue", "wed", "thu", "fri", "sat", "sun"};

std::optional<AlertKind> kind_of(const std::string& word) {
  for (std::size_t k = 0; k < kAlertKinds; ++k) {
    if (to_string(static_cast<AlertKind>(k)) == word) return static_cast<AlertKind>(k);
  }
  return std::nullopt;
}

int unknown_rule(const std::string& word, std::ostream& err) {
  std::string all;
  for (std::size_t k = 0; k < kAlertKinds; ++k) {
    all += (k == 0 ? "" : ", ") + std::string(to_string(static_cast<AlertKind>(k)));
  }
  err << fmt::format("rule = \"{}\": must be one of {}\n", one_line(word, 60), all);
  return 2;
}

std::optional<AlertSeverity> severity_of(const std::string& word) {
  for (const auto s : {AlertSeverity::notice, AlertSeverity::warning, AlertSeverity::urgent}) {
    if (to_string(s) == word) return s;
  }
  return std::nullopt;
}

std::string clock_text(int minute) { return fmt::format("{:02}:{:02}", minute / 60, minute % 60); }

std::string hours_text(const WeeklyWindow& w) {
  std::string days;
  for (std::size_t d = 0; d < kDays.size(); ++d) {
    if ((w.days >> d & 1) != 0) days += (days.empty() ? "" : ",") + std::string(kDays[d]);
  }
  return fmt::format("{} {} to {}", w.days == 0x7F ? "daily" : days, clock_text(w.from_minute),
                     clock_text(w.to_minute));
}

/// \return nothing, with a line on `err`, when an hour or a day is none.
std::optional<WeeklyWindow> window_of(const AlertAreaOptions& options, std::ostream& err) {
  WeeklyWindow window;
  for (const auto& [option, text, minute] :
       {std::tuple{"--from", &options.from, &window.from_minute},
        std::tuple{"--to", &options.to, &window.to_minute}}) {
    const auto value = parse_minute_of_day(*text);
    if (!value) {
      err << fmt::format("{} = \"{}\": must be an hour such as 22:30, UTC\n", option,
                         one_line(*text, 20));
      return std::nullopt;
    }
    *minute = *value;
  }
  if (options.days.empty()) return window;
  window.days = 0;
  for (const std::string& word : options.days) {
    const auto day = std::find(kDays.begin(), kDays.end(), word);
    if (day == kDays.end()) {
      err << fmt::format("--days = \"{}\": must be mon, tue, wed, thu, fri, sat or sun\n",
                         one_line(word, 20));
      return std::nullopt;
    }
    window.days = static_cast<std::uint8_t>(window.days | 1U << (day - kDays.begin()));
  }
  return window;
}

std::optional<StationId> station_named(const Stations& stations, const std::string& name) {
  for (const auto& [id, station] : stations) {
    if (station.name == name) return id;
  }
  return std::nullopt;
}

std::string covered(const AlertMute& m, const Stations& stations) {
  std::string text = m.kind ? std::string(to_string(*m.kind)) : "any rule";
  if (m.emitter) text += fmt::format(", emitter {}/{}", m.emitter->channel, m.emitter->id);
  if (m.station) {
    const auto found = stations.find(*m.station);
    text +=
        ", station " + (found == stations.end() ? std::to_string(*m.station) : found->second.name);
  }
  return text;
}

template <typename Value>
int told(const Result<Value>& result, const std::string& done, std::ostream& out,
         std::ostream& err) {
  if (!result) {
    err << result.error() << '\n';
    return 1;
  }
  out << done << '\n';
  return 0;
}

int not_there(const std::string& what, std::ostream& err) {
  err << what << '\n';
  return 1;
}

}  // namespace

int run_alert_mute(const AlertMuteOptions& options, std::ostream& out, std::ostream& err) {
  AlertMute mute;
  if (!options.rule.empty()) {
    mute.kind = kind_of(options.rule);
    if (!mute.kind) return unknown_rule(options.rule, err);
  }
  if (!options.emitter.empty()) {
    mute.emitter = parse_emitter_name(options.emitter);
    if (!mute.emitter) {
      err << fmt::format("--emitter = \"{}\": must be CHANNEL/ID\n", one_line(options.emitter, 60));
      return 2;
    }
  }
  mute.until = SystemClock().now() + from_seconds(3600.0 * options.hours);
  mute.by = options.by;
  mute.note = options.note;
  return with_database("alert", options.database, err, [&](store::Database& database) {
    const Stations stations = store::Reader(database).stations();
    if (!options.station.empty()) {
      mute.station = station_named(stations, options.station);
      if (!mute.station) {
        return not_there(fmt::format("--station = \"{}\": there is no such station",
                                     one_line(options.station, 40)),
                         err);
      }
    }
    const auto id = store::AlertBook(database).mute(mute);
    return told(id,
                fmt::format("mute {}: {} until {}; what is raised is kept all the same",
                            id ? *id : 0, covered(mute, stations), format_rfc3339(mute.until, 0)),
                out, err);
  });
}

int run_alert_unmute(const AlertUnmuteOptions& options, std::ostream& out, std::ostream& err) {
  return with_database("alert", options.database, err, [&](store::Database& database) {
    if (!store::AlertBook(database).unmute(options.id, options.by)) {
      return not_there(fmt::format("alert: mute {} is not in force: `fixwright alert settings` "
                                   "names those that are",
                                   options.id),
                       err);
    }
    out << fmt::format("mute {} is ended\n", options.id);
    return 0;
  });
}

int run_alert_settings(const AlertSettingsOptions& options, std::ostream& out, std::ostream& err) {
  return with_database("alert", options.database, err, [&](store::Database& database) {
    const AlertSettings settings = store::AlertBook(database).settings();
    const Stations stations = store::Reader(database).stations();
    std::vector<std::vector<std::string>> rows{{"WHAT", "NAME", "IS"}};
    for (const auto& [kind, rule] : settings.rules) {
      rows.push_back({"rule", std::string(to_string(kind)),
                      fmt::format("{}, {}, hold-down {:g} s", rule.enabled ? "enabled" : "disabled",
                                  to_string(rule.severity), seconds(rule.hold_down))});
    }
    for (const WatchedArea& a : settings.areas) {
      rows.push_back(
          {"area", a.name,
           fmt::format("{:g} km about {:.5f} {:.5f}, {:g} to {:g} MHz, {} UTC, by {}",
                       a.radius_m / 1000.0, a.centre.latitude_deg, a.centre.longitude_deg,
                       a.low_hz / 1e6, a.high_hz / 1e6, hours_text(a.hours), a.by)});
    }
    for (const AlertMute& m : settings.mutes) {
      rows.push_back(
          {"mute", std::to_string(m.id),
           fmt::format("{} until {} by {}{}", covered(m, stations), format_rfc3339(m.until, 0),
                       m.by, m.note.empty() ? "" : ": " + m.note)});
    }
    out << report::text_table(rows);
    return 0;
  });
}

int run_alert_rule(const AlertRuleOptions& options, std::ostream& out, std::ostream& err) {
  const auto kind = kind_of(options.rule);
  if (!kind) return unknown_rule(options.rule, err);
  const auto severity = severity_of(options.severity);
  if (!severity) {
    err << fmt::format("--severity = \"{}\": must be notice, warning or urgent\n",
                       one_line(options.severity, 20));
    return 2;
  }
  const AlertRule rule{options.enabled, *severity, from_seconds(options.hold_down_s)};
  return with_database("alert", options.database, err, [&](store::Database& database) {
    store::AlertBook book(database);
    if (!options.clear) {
      return told(
          book.set_rule(*kind, rule, options.by),
          fmt::format("{}: {}, {}, hold-down {:g} s", options.rule,
                      rule.enabled ? "enabled" : "disabled", options.severity, options.hold_down_s),
          out, err);
    }
    if (!book.clear_rule(*kind)) {
      return not_there(fmt::format("alert: nobody set {}: the configured rule holds", options.rule),
                       err);
    }
    out << fmt::format("{}: the configured rule holds again\n", options.rule);
    return 0;
  });
}

int run_alert_area(const AlertAreaOptions& options, std::ostream& out, std::ostream& err) {
  const auto window = window_of(options, err);
  if (!window) return 2;
  return with_database("alert", options.database, err, [&](store::Database& database) {
    store::AlertBook book(database);
    if (options.remove) {
      if (!book.remove_area(options.name)) {
        return not_there(
            fmt::format("alert: there is no watched area \"{}\"", one_line(options.name, 40)), err);
      }
      out << fmt::format("{} is no longer watched\n", options.name);
      return 0;
    }
    WatchedArea area;
    area.name = options.name;
    area.centre = {options.at.at(0), options.at.at(1)};
    area.radius_m = 1000.0 * options.radius_km;
    area.hours = *window;
    area.low_hz = 1e6 * options.low_mhz;
    area.high_hz = 1e6 * options.high_mhz;
    area.by = options.by;
    return told(book.set_area(area),
                fmt::format("{} is watched: {:g} km about {:.5f} {:.5f}, {} UTC", area.name,
                            options.radius_km, area.centre.latitude_deg, area.centre.longitude_deg,
                            hours_text(area.hours)),
                out, err);
  });
}

}  // namespace fixwright::tools
