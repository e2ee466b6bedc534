#include "server/store/alert_book.hpp"

#include <fmt/core.h>

#include <charconv>

#include "server/base/text.hpp"
#include "server/store/alert_rows.hpp"
#include "server/store/pool.hpp"
#include "server/store/rows.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

using Parameter = std::optional<std::string>;

constexpr std::size_t kLongestBy = 100;  // as the tables' checks have it
constexpr std::size_t kLongestNote = 2000;
constexpr std::size_t kLongestName = 40;
constexpr auto kLastKind = static_cast<AlertKind>(kAlertKinds - 1);

std::string number(double value) {
  char digits[32];
  return std::string(digits, std::to_chars(digits, digits + sizeof digits, value).ptr);
}

template <typename T>
Parameter text(const std::optional<T>& value) {
  return value ? Parameter(std::to_string(*value)) : std::nullopt;
}

Parameter fault_of(std::string_view what, std::string_view value, std::size_t longest,
                   bool may_be_empty) {
  if (one_line(value) == value && value.size() <= longest && (may_be_empty || !value.empty())) {
    return std::nullopt;
  }
  return fmt::format(
      "{} = \"{}\": must be one line of plain UTF-8 text of {} to {} bytes; nothing was changed",
      what, one_line(value, longest), may_be_empty ? 0 : 1, longest);
}

Parameter fault_of(std::string_view what, double value, double least, double most) {
  if (value >= least && value <= most) return std::nullopt;
  return fmt::format("{} = {:g}: must be {:g} to {:g}; nothing was changed", what, value, least,
                     most);
}

Parameter fault_of(const WatchedArea& a) {
  if (auto fault = fault_of("name", a.name, kLongestName, false)) return fault;
  if (a.name.find('/') != std::string::npos) {
    return fmt::format("name = \"{}\": must have no '/'; nothing was changed", a.name);
  }
  if (auto fault = fault_of("by", a.by, kLongestBy, false)) return fault;
  if (auto fault = fault_of("latitude", a.centre.latitude_deg, -90.0, 90.0)) return fault;
  if (auto fault = fault_of("longitude", a.centre.longitude_deg, -180.0, 180.0)) return fault;
  if (auto fault = fault_of("radius_m", a.radius_m, 1.0, 1e6)) return fault;
  if ((a.hours.days & 0x7F) == 0) return "days: must name one day at least; nothing was changed";
  if (!(a.low_hz >= 0.0 && a.high_hz > a.low_hz)) {
    return fmt::format("band = {:g} to {:g} Hz: must rise from 0 or more; nothing was changed",
                       a.low_hz, a.high_hz);
  }
  return std::nullopt;
}

AlertRule read_rule(const pqxx::row& row) {
  return {row["enabled"].as<bool>(), word<AlertSeverity>(row["severity"], AlertSeverity::urgent),
          from_seconds(row["hold_down_s"].as<double>())};
}

WatchedArea read_area(const pqxx::row& row) {
  WatchedArea a;
  a.name = row["name"].as<std::string>();
  a.centre = {row["latitude_deg"].as<double>(), row["longitude_deg"].as<double>()};
  a.radius_m = row["radius_m"].as<double>();
  a.hours = {static_cast<std::uint8_t>(row["days"].as<int>()), row["from_minute"].as<int>(),
             row["to_minute"].as<int>()};
  a.low_hz = row["low_hz"].as<double>();
  a.high_hz = row["high_hz"].as<double>();
  a.by = row["set_by"].as<std::string>();
  return a;
}

AlertMute read_mute(const pqxx::row& row) {
  AlertMute m;
  m.id = row["mute_id"].as<std::int64_t>();
  if (!row["rule"].is_null()) m.kind = word<AlertKind>(row["rule"], kLastKind);
  if (!row["emitter_id"].is_null()) {
    m.emitter = {row["channel_id"].as<ChannelId>(), row["emitter_id"].as<std::int64_t>()};
  }
  m.station = optional<StationId>(row["station_id"]);
  m.until = time(row["until_us"]);
  m.by = row["muted_by"].as<std::string>();
  m.note = row["note"].as<std::string>();
  return m;
}

}  // namespace

AlertSettings AlertBook::settings() {
  return look(database_, [](auto& tx) {
    AlertSettings settings;
    for (const pqxx::row& row :
         tx.exec("SELECT rule, enabled, severity, hold_down_s FROM alert_rule")) {
      settings.rules[word<AlertKind>(row["rule"], kLastKind)] = read_rule(row);
    }
    for (const pqxx::row& row :
         tx.exec("SELECT name, ST_Y(centre::geometry) AS latitude_deg, ST_X(centre::geometry) AS "
                 "longitude_deg, radius_m, days, from_minute, to_minute, low_hz, high_hz, set_by "
                 "FROM watched_area ORDER BY name")) {
      settings.areas.push_back(read_area(row));
    }
    for (const pqxx::row& row :
         tx.exec("SELECT mute_id, rule, channel_id, emitter_id, station_id, " +
                 as_microseconds("until_at", "until_us") +
                 ", muted_by, note FROM alert_mute "
                 "WHERE ended_at IS NULL AND until_at > now() ORDER BY mute_id")) {
      settings.mutes.push_back(read_mute(row));
    }
    return settings;
  });
}

Result<std::string> AlertBook::set_rule(AlertKind kind, const AlertRule& rule,
                                        std::string_view by) {
  if (auto fault = fault_of("by", by, kLongestBy, false)) return Error{*fault};
  if (auto fault = fault_of("hold_down_s", seconds(rule.hold_down), 0.0, 86'400.0)) {
    return Error{*fault};
  }
  const std::string name(to_string(kind));
  change(database_, [&](pqxx::work& tx) {
    execute(tx,
            "INSERT INTO alert_rule (rule, enabled, severity, hold_down_s, set_by) "
            "VALUES ($1, $2::boolean, $3, $4::float8, $5) ON CONFLICT (rule) DO UPDATE SET "
            "enabled = EXCLUDED.enabled, severity = EXCLUDED.severity, "
            "hold_down_s = EXCLUDED.hold_down_s, set_by = EXCLUDED.set_by, set_at = now()",
            {name, rule.enabled ? "true" : "false", std::string(to_string(rule.severity)),
             number(seconds(rule.hold_down)), std::string(by)});
  });
  return name;
}

bool AlertBook::clear_rule(AlertKind kind) {
  return change(database_, [&](pqxx::work& tx) {
    return execute(tx, "DELETE FROM alert_rule WHERE rule = $1", {std::string(to_string(kind))})
               .affected_rows() == 1;
  });
}

Result<std::string> AlertBook::set_area(const WatchedArea& a) {
  if (auto fault = fault_of(a)) return Error{*fault};
  change(database_, [&](pqxx::work& tx) {
    execute(tx,
            "INSERT INTO watched_area (name, centre, radius_m, days, from_minute, to_minute, "
            "low_hz, high_hz, set_by) VALUES ($1, ST_MakePoint($2::float8, $3::float8)::geography, "
            "$4::float8, $5::smallint, $6::smallint, $7::smallint, $8::float8, $9::float8, $10) "
            "ON CONFLICT (name) DO UPDATE SET centre = EXCLUDED.centre, "
            "radius_m = EXCLUDED.radius_m, days = EXCLUDED.days, "
            "from_minute = EXCLUDED.from_minute, to_minute = EXCLUDED.to_minute, "
            "low_hz = EXCLUDED.low_hz, high_hz = EXCLUDED.high_hz, set_by = EXCLUDED.set_by, "
            "set_at = now()",
            {a.name, number(a.centre.longitude_deg), number(a.centre.latitude_deg),
             number(a.radius_m), std::to_string(a.hours.days), std::to_string(a.hours.from_minute),
             std::to_string(a.hours.to_minute), number(a.low_hz), number(a.high_hz), a.by});
  });
  return a.name;
}

bool AlertBook::remove_area(std::string_view name) {
  return change(database_, [&](pqxx::work& tx) {
    return execute(tx, "DELETE FROM watched_area WHERE name = $1", {std::string(name)})
               .affected_rows() == 1;
  });
}

Result<std::int64_t> AlertBook::mute(const AlertMute& m) {
  if (!m.kind && !m.emitter && !m.station) {
    return Error{"a mute of everything: name a rule, an emitter or a station; nothing was changed"};
  }
  if (auto fault = fault_of("by", m.by, kLongestBy, false)) return Error{*fault};
  if (auto fault = fault_of("note", m.note, kLongestNote, true)) return Error{*fault};
  return change(database_, [&](pqxx::work& tx) -> Result<std::int64_t> {
    const auto rows = execute(
        tx,
        "INSERT INTO alert_mute (rule, channel_id, emitter_id, station_id, until_at, muted_by, "
        "note) VALUES ($1, $2::bigint, $3::bigint, $4::integer, $5::timestamptz, $6, $7) "
        "RETURNING mute_id",
        {m.kind ? Parameter(to_string(*m.kind)) : std::nullopt,
         m.emitter ? Parameter(std::to_string(m.emitter->channel)) : std::nullopt,
         m.emitter ? Parameter(std::to_string(m.emitter->id)) : std::nullopt, text(m.station),
         format_rfc3339(m.until, 6), m.by, m.note});
    return rows.at(0)[0].as<std::int64_t>();
  });
}

bool AlertBook::unmute(std::int64_t id, std::string_view by) {
  return change(database_, [&](pqxx::work& tx) {
    return execute(tx,
                   "UPDATE alert_mute SET ended_by = $2, ended_at = now() "
                   "WHERE mute_id = $1::bigint AND ended_at IS NULL AND until_at > now()",
                   {std::to_string(id), std::string(by)})
               .affected_rows() == 1;
  });
}

std::vector<AlertView> AlertBook::alerts(std::optional<TimePoint> since, bool open_only) {
  return look(database_, [&](auto& tx) {
    return select_alerts(tx,
                         "($1::timestamptz IS NULL OR raised_at >= $1::timestamptz) AND "
                         "($2::boolean OR acknowledged_at IS NULL)",
                         {since ? Parameter(format_rfc3339(*since, 6)) : std::nullopt,
                          open_only ? "false" : "true"});
  });
}

std::optional<AlertView> AlertBook::alert(std::string_view id) {
  return look(database_, [&](auto& tx) -> std::optional<AlertView> {
    const auto found = select_alerts(tx, "alert_id = $1", {std::string(id)});
    if (found.empty()) return std::nullopt;
    return found.front();
  });
}

}  // namespace fixwright::store
