#include "server/store/reader.hpp"

#include "server/store/bearing_rows.hpp"
#include "server/store/pool.hpp"
#include "server/store/rows.hpp"

namespace fixwright::store {

namespace {

AlertView alert_of(const pqxx::row& row) {
  AlertView view;
  Alert& a = view.alert;
  a.id = row["alert_id"].as<std::string>();
  a.rule = row["rule"].as<std::string>();
  a.severity = word<AlertSeverity>(row["severity"], AlertSeverity::urgent);
  a.raised_at = time(row["raised_at_us"]);
  if (!row["emitter_id"].is_null()) {
    a.emitter = {row["channel_id"].as<ChannelId>(), row["emitter_id"].as<std::int64_t>()};
  }
  a.station = optional<StationId>(row["station_id"]);
  a.message = row["message"].as<std::string>();
  view.acknowledged_at = optional_time(row["acknowledged_at_us"]);
  return view;
}

Station station_of(const pqxx::row& row) {
  return {row["station_id"].as<StationId>(),
          row["name"].as<std::string>(),
          {row["latitude_deg"].as<double>(), row["longitude_deg"].as<double>()},
          row["antenna_height_m"].as<double>(),
          row["site_sigma_deg"].as<double>(),
          row["bias_deg"].as<double>(),
          row["moves"].as<bool>()};
}

constexpr auto kPlace =
    "ST_Y(position::geometry) AS latitude_deg, ST_X(position::geometry) AS longitude_deg";

}  // namespace

std::uint32_t Reader::highest_revision() {
  // Final rows don't count: made again they are the same.
  return look(database_, [](auto& tx) {
    return tx
        .exec(
            "SELECT greatest((SELECT max(revision) FROM emitter), "
            "(SELECT max(revision) FROM transmission WHERE state IN ('provisional', 'revised')), "
            "(SELECT max(revision) FROM fix WHERE state IN ('provisional', 'revised')))")
        .at(0)[0]
        .template as<std::uint32_t>(0);
  });
}

std::vector<AlertView> Reader::open_alerts() {
  return look(database_, [](auto& tx) {
    std::vector<AlertView> views;
    for (const pqxx::row& row :
         tx.exec("SELECT alert_id, rule, severity, channel_id, emitter_id, station_id, message, " +
                 as_microseconds("raised_at", "raised_at_us") + ", " +
                 as_microseconds("acknowledged_at", "acknowledged_at_us") +
                 " FROM alert WHERE acknowledged_at IS NULL "
                 "ORDER BY raised_at DESC, alert_id")) {
      views.push_back(alert_of(row));
    }
    return views;
  });
}

Stations Reader::stations() {
  return look(database_, [](auto& tx) {
    Stations stations;
    for (const pqxx::row& row :
         tx.exec("SELECT station_id, name, antenna_height_m, site_sigma_deg, bias_deg, moves, " +
                 std::string(kPlace) + " FROM station")) {
      Station station = station_of(row);
      stations.emplace(station.id, std::move(station));
    }
    return stations;
  });
}

std::vector<Channel> Reader::channels() {
  return look(database_, [](auto& tx) {
    std::vector<Channel> channels;
    for (const pqxx::row& row :
         tx.exec("SELECT channel_id, name, frequency_hz, bandwidth_hz FROM channel ORDER BY 1")) {
      channels.push_back({row[0].as<ChannelId>(), row[1].as<std::string>(), row[2].as<double>(),
                          row[3].as<double>()});
    }
    return channels;
  });
}

std::vector<Bearing> Reader::bearings(ChannelId channel, TimePoint from, TimePoint to) {
  std::vector<Bearing> bearings;
  PqConnection connection(database_.pool().connection_text());
  each_of_channel(connection, channel, from, to, [&](const Bearing& b) { bearings.push_back(b); });
  return bearings;
}

}  // namespace fixwright::store
