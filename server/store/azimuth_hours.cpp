#include "server/store/azimuth_hours.hpp"

#include "server/base/angle.hpp"
#include "server/store/pool.hpp"
#include "server/store/rows.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

// The median is taken of differences to the azimuth of the emitter's place, which don't wrap there.
const std::string& select_hours() {
  static const std::string text =
      "WITH line AS (SELECT s.station_id, e.channel_id, e.emitter_id, "
      "degrees(ST_Azimuth(s.position, e.position)) AS azimuth_deg "
      "FROM emitter AS e CROSS JOIN station AS s "
      "WHERE e.motion = 'still' AND e.state IN ('confirmed', 'silent') AND e.refusal = 'none' "
      "AND cardinality(e.stations) >= 3 AND e.last_heard >= $1::timestamptz AND NOT s.moves), "
      "seen AS (SELECT b.station_id, f.channel_id, f.emitter_id, line.azimuth_deg AS place_deg, "
      "date_bin('1 hour', b.start_at, '2000-01-01 00:00Z') AS hour, "
      "b.azimuth_deg - line.azimuth_deg AS off "
      "FROM transmission AS t JOIN fix AS f USING (channel_id, transmission_id) "
      "JOIN fix_bearing AS p USING (channel_id, transmission_id, ordinal) "
      "JOIN line USING (channel_id, emitter_id, station_id) "
      "JOIN bearing AS b ON b.channel_id = t.channel_id AND b.start_at >= t.start_at "
      "AND b.start_at <= t.end_at AND b.station_id = p.station_id AND b.stream_id = p.stream_id "
      "AND b.sequence = p.sequence "
      "WHERE t.start_at >= $1::timestamptz AND t.start_at < $2::timestamptz "
      "AND b.start_at >= $1::timestamptz AND b.start_at < $2::timestamptz "
      "AND f.state = 'final' AND NOT b.station_moves) "
      "SELECT station_id, channel_id, emitter_id, " +
      as_microseconds("hour", "hour_us") +
      ", place_deg, percentile_cont(0.5) WITHIN GROUP (ORDER BY off - 360 * round((off / "
      "360)::numeric)::float8) AS off_deg FROM seen "
      "GROUP BY hour, station_id, channel_id, emitter_id, place_deg "
      "ORDER BY hour, station_id, channel_id, emitter_id";
  return text;
}

}  // namespace

std::vector<AzimuthHour> azimuth_hours(Database& database, TimePoint from, TimePoint to) {
  return look(database, [&](auto& tx) {
    std::vector<AzimuthHour> hours;
    for (const pqxx::row& row :
         execute(tx, select_hours(), {format_rfc3339(from, 6), format_rfc3339(to, 6)})) {
      hours.push_back({row["station_id"].as<StationId>(),
                       {row["channel_id"].as<ChannelId>(), row["emitter_id"].as<std::int64_t>()},
                       time(row["hour_us"]),
                       wrap_360(row["place_deg"].as<double>() + row["off_deg"].as<double>())});
    }
    return hours;
  });
}

}  // namespace fixwright::store
