#include "server/store/reader.hpp"

#include "server/store/alert_rows.hpp"
#include "server/store/bearing_rows.hpp"
#include "server/store/pool.hpp"
#include "server/store/rows.hpp"

namespace fixwright::store {

namespace {

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
            "(SELECT max(revision) FROM bearing_only), "
            "(SELECT max(revision) FROM transmission WHERE state IN ('provisional', 'revised')), "
            "(SELECT max(revision) FROM fix WHERE state IN ('provisional', 'revised')))")
        .at(0)[0]
        .template as<std::uint32_t>(0);
  });
}

std::vector<AlertView> Reader::open_alerts() {
  return look(database_, [](auto& tx) { return select_alerts(tx, "acknowledged_at IS NULL"); });
}

std::vector<AlertView> Reader::recent_alerts(std::size_t limit) {
  return look(database_, [&](auto& tx) {
    return select_alerts(tx,
                         "alert_id IN (SELECT alert_id FROM alert ORDER BY raised_at DESC, "
                         "alert_id LIMIT $1::bigint)",
                         {std::to_string(limit)});
  });
}

std::vector<AlertView> Reader::lasting_alerts() {
  return look(database_, [](auto& tx) {
    return select_alerts(tx, "ended_at IS NULL OR ended_at > now() - interval '1 day'");
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
