#include "server/store/evidence.hpp"

#include "server/store/pool.hpp"
#include "server/store/rows.hpp"
#include "server/store/text_array.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

using Parameters = std::vector<std::optional<std::string>>;

/// Of a timestamptz, for time().
std::string us(const std::string& column) { return as_microseconds(column, "us"); }

std::string text_or(const pqxx::field& field) { return field.is_null() ? "" : field.c_str(); }

template <typename Tx>
bool read_emitter(Tx& tx, EmitterEvidence& e, const Parameters& key) {
  const auto rows =
      execute(tx,
              "SELECT name, state, motion, grade, frequency_hz, " + us("first_heard") + ", " +
                  us("last_heard") +
                  ", bearings, ST_Y(position), ST_X(position), semi_major_m, semi_minor_m, "
                  "orientation_deg, probability, verdict, evidence, posterior, "
                  "array_to_string(stations, '|') FROM emitter_latest "
                  "WHERE channel_id = $1::bigint AND emitter_id = $2::bigint",
              key);
  if (rows.empty()) return false;
  const pqxx::row row = rows[0];
  e.name = text_or(row[0]);
  e.state = row[1].c_str();
  e.motion = row[2].c_str();
  e.grade = row[3].c_str();
  e.frequency_hz = row[4].as<double>();
  e.first_heard = time(row[5]);
  e.last_heard = time(row[6]);
  e.bearings_ever = row[7].as<std::uint64_t>();
  e.position = {row[8].as<double>(0.0), row[9].as<double>(0.0)};
  e.semi_major_m = row[10].as<double>(0.0);
  e.semi_minor_m = row[11].as<double>(0.0);
  e.orientation_deg = row[12].as<double>(0.0);
  e.probability = row[13].as<double>(0.0);
  e.verdict = text_or(row[14]);
  e.verdict_evidence = text_or(row[15]);
  e.posterior = row[16].as<double>(0.0);
  std::string names = text_or(row[17]);
  while (!names.empty()) {
    const auto bar = names.find('|');
    e.heard_by.push_back(names.substr(0, bar));
    names = bar == std::string::npos ? "" : names.substr(bar + 1);
  }
  return true;
}

template <typename Tx>
void read_region(Tx& tx, EmitterEvidence& e, const Parameters& key) {
  const auto rows = execute(
      tx,
      "SELECT p.path[1], ST_Y(p.geom), ST_X(p.geom) FROM emitter_region AS r, "
      "ST_DumpPoints(r.region) AS p WHERE r.channel_id = $1::bigint AND r.emitter_id = $2::bigint "
      "AND p.path[2] = 1 ORDER BY p.path",
      key);
  int part = 0;
  for (const auto& row : rows) {
    if (row[0].template as<int>() != part) e.region.emplace_back();
    part = row[0].template as<int>();
    e.region.back().push_back({row[1].template as<double>(), row[2].template as<double>()});
  }
}

/// $3 and $4 are the stretch.
template <typename Tx>
void read_bearings(Tx& tx, EmitterEvidence& e, const Parameters& stretch, std::size_t most) {
  const std::string of =
      " FROM fix_bearing_detail WHERE channel_id = $1::bigint AND emitter_id = $2::bigint "
      "AND valid_at BETWEEN $3::timestamptz AND $4::timestamptz AND start_at IS NOT NULL";
  const auto counts =
      execute(tx, "SELECT count(*), count(DISTINCT (transmission_id, ordinal))" + of, stretch);
  const auto all = counts[0][0].template as<std::size_t>();
  e.fixes = counts[0][1].template as<std::size_t>();
  e.bearings_left_out = all > most ? all - most : 0;
  const auto rows =
      execute(tx,
              "SELECT station, " + us("start_at") +
                  ", stream_id, sequence, azimuth_deg, sigma_deg, residual_deg, used, "
                  "digest" +
                  of + " ORDER BY start_at, station_id, stream_id, sequence OFFSET " +
                  std::to_string(e.bearings_left_out),
              stretch);
  for (const auto& row : rows) {
    e.bearings.push_back({{e.key.channel, time(row[1]), row[2].template as<std::int64_t>(),
                           row[3].template as<std::uint64_t>(), text_or(row[8])},
                          row[0].c_str(),
                          row[4].template as<double>(),
                          row[5].template as<double>(),
                          row[6].template as<double>(),
                          row[7].template as<bool>()});
  }
}

template <typename Tx>
void read_stations(Tx& tx, EmitterEvidence& e) {
  for (const auto& row :
       tx.exec("SELECT name, ST_Y(position), ST_X(position) FROM station_status ORDER BY name")) {
    e.stations.push_back(
        {row[0].c_str(), {row[1].template as<double>(), row[2].template as<double>()}});
  }
}

template <typename Tx>
void read_events(Tx& tx, EmitterEvidence& e, const Parameters& key) {
  const auto rows = execute(
      tx,
      "SELECT " + us("at") +
          ", kind, evidence, '' FROM emitter_history WHERE channel_id = $1::bigint "
          "AND emitter_id = $2::bigint UNION ALL SELECT " +
          us("decided_at") +
          ", kind, concat_ws(': ', nullif(name, ''), nullif(note, '')), decided_by "
          "FROM emitter_decision_list WHERE channel_id = $1::bigint AND emitter_id = $2::bigint "
          "AND undone_by IS NULL ORDER BY 1",
      key);
  for (const auto& row : rows) {
    e.events.push_back({time(row[0]), row[1].c_str(), text_or(row[2]), row[3].c_str()});
  }
}

/// Those whose channel holds the frequency: half a bandwidth and 1 kHz, since measuring has errors.
template <typename Tx>
void read_licences(Tx& tx, EmitterEvidence& e, const Parameters& key) {
  const auto rows =
      execute(tx,
              "SELECT l.licence_id, l.holder, l.service, l.frequency_hz, "
              "ST_Distance(l.position::geography, e.position::geography) FROM licence_list AS l, "
              "emitter_latest AS e WHERE e.channel_id = $1::bigint AND e.emitter_id = $2::bigint "
              "AND abs(l.frequency_hz - e.frequency_hz) <= l.bandwidth_hz / 2 + 1000 "
              "AND l.position IS NOT NULL AND e.position IS NOT NULL ORDER BY 5, 1 LIMIT 10",
              key);
  for (const auto& row : rows) {
    e.licences.push_back({row[0].c_str(), text_or(row[1]), text_or(row[2]),
                          row[3].template as<double>(), row[4].template as<double>()});
  }
}

}  // namespace

std::optional<EmitterEvidence> read_evidence(Database& database, const EvidenceOrder& order) {
  const Parameters key{std::to_string(order.emitter.channel), std::to_string(order.emitter.id)};
  Parameters stretch = key;
  stretch.push_back(format_rfc3339(order.from, 6));
  stretch.push_back(format_rfc3339(order.until, 6));
  return look(database, [&](auto& tx) -> std::optional<EmitterEvidence> {
    EmitterEvidence e;
    e.key = order.emitter;
    e.from = order.from;
    e.until = order.until;
    if (!read_emitter(tx, e, key)) return std::nullopt;
    read_region(tx, e, key);
    read_bearings(tx, e, stretch, order.most_bearings);
    read_stations(tx, e);
    read_events(tx, e, key);
    read_licences(tx, e, key);
    return e;
  });
}

std::vector<std::string> read_digests(Database& database,
                                      const std::vector<BearingReference>& bearings) {
  if (bearings.empty()) return {};
  TextArray channels, starts, streams, sequences;
  for (const BearingReference& b : bearings) {
    channels.add(b.channel);
    starts.add(b.start);
    streams.add(b.stream);
    sequences.add(b.sequence);
  }
  return look(database, [&](auto& tx) {
    const auto rows = execute(
        tx,
        "SELECT b.digest FROM unnest($1::bigint[], $2::timestamptz[], $3::bigint[], $4::bigint[]) "
        "WITH ORDINALITY AS n (channel_id, start_at, stream_id, sequence, place) "
        "LEFT JOIN LATERAL (SELECT l.digest FROM bearing_line AS l "
        "WHERE l.channel_id = n.channel_id AND l.start_at = n.start_at "
        "AND l.stream_id = n.stream_id AND l.sequence = n.sequence LIMIT 1) AS b ON true "
        "ORDER BY n.place",
        {channels.literal(), starts.literal(), streams.literal(), sequences.literal()});
    std::vector<std::string> digests;
    for (const auto& row : rows) digests.push_back(text_or(row[0]));
    return digests;
  });
}

}  // namespace fixwright::store
