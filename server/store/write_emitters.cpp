/// Emitters, what happened to them, their tracks, what the register says, alerts.

#include "server/store/solution_columns.hpp"
#include "server/store/write_results.hpp"

namespace fixwright::store {

namespace {

constexpr auto kReal = "double precision";

std::string station_ids(const Emitter& e) {
  TextArray array;
  for (const StationId id : e.stations) array.add(id);
  return array.literal();
}

/// Adds one member of the velocity, NULL for an emitter that has none.
auto velocity(double Velocity::*member) {
  return [member](TextArray& a, const Emitter& e) {
    e.velocity ? a.add((*e.velocity).*member) : a.add_null();
  };
}

std::vector<Column<Emitter>> emitter_columns() {
  using E = Emitter;
  std::vector<Column<E>> columns{
      {"channel_id", "bigint", [](TextArray& a, const E& e) { a.add(e.key.channel); }, true},
      {"emitter_id", "bigint", [](TextArray& a, const E& e) { a.add(e.key.id); }, true},
      {"revision", "bigint", [](TextArray& a, const E& e) { a.add(e.revision); }},
      {"state", "text", [](TextArray& a, const E& e) { a.add(to_string(e.state)); }},
      {"motion", "text", [](TextArray& a, const E& e) { a.add(to_string(e.motion)); }},
      {"valid_at", "timestamptz", [](TextArray& a, const E& e) { a.add(e.valid_at); }},
      {"frequency_hz", kReal, [](TextArray& a, const E& e) { a.add(e.frequency_hz); }},
      {"first_heard", "timestamptz", [](TextArray& a, const E& e) { a.add(e.first_heard); }},
      {"last_heard", "timestamptz", [](TextArray& a, const E& e) { a.add(e.last_heard); }},
      {"bearings", "bigint", [](TextArray& a, const E& e) { a.add(e.bearings); }},
      {"looks", "bigint", [](TextArray& a, const E& e) { a.add(e.looks); }},
      {"stations", "text", [](TextArray& a, const E& e) { a.add(station_ids(e)); }, false,
       "integer[]"},
      {"speed_m_per_s", kReal, velocity(&Velocity::speed_m_per_s)},
      {"course_deg", kReal, velocity(&Velocity::course_deg)},
      {"speed_sigma_m_per_s", kReal, velocity(&Velocity::speed_sigma_m_per_s)},
  };
  const auto solution = solution_columns<E>([](const E& e) -> const CrossFix& { return e.fix; });
  columns.insert(columns.end(), solution.begin(), solution.end());
  return columns;
}

std::vector<Column<EmitterEvent>> event_columns() {
  using V = EmitterEvent;
  return {
      {"channel_id", "bigint", [](TextArray& a, const V& v) { a.add(v.emitter.channel); }, true},
      {"emitter_id", "bigint", [](TextArray& a, const V& v) { a.add(v.emitter.id); }, true},
      {"at", "timestamptz", [](TextArray& a, const V& v) { a.add(v.at); }, true},
      {"kind", "text", [](TextArray& a, const V& v) { a.add(to_string(v.kind)); }, true},
      {"evidence", "text", [](TextArray& a, const V& v) { a.add(v.evidence); }},
  };
}

std::vector<Column<TrackPoint>> track_columns() {
  using P = TrackPoint;
  return {
      {"channel_id", "bigint", [](TextArray& a, const P& p) { a.add(p.emitter.channel); }, true},
      {"emitter_id", "bigint", [](TextArray& a, const P& p) { a.add(p.emitter.id); }, true},
      {"at", "timestamptz", [](TextArray& a, const P& p) { a.add(p.at); }, true},
      {"position", "text", [](TextArray& a, const P& p) { a.add(p.position); }, false, "geography"},
      {"covariance_ee_m2", kReal, [](TextArray& a, const P& p) { a.add(p.covariance.ee_m2); }},
      {"covariance_en_m2", kReal, [](TextArray& a, const P& p) { a.add(p.covariance.en_m2); }},
      {"covariance_nn_m2", kReal, [](TextArray& a, const P& p) { a.add(p.covariance.nn_m2); }},
      {"speed_m_per_s", kReal, [](TextArray& a, const P& p) { a.add(p.velocity.speed_m_per_s); }},
      {"course_deg", kReal, [](TextArray& a, const P& p) { a.add(p.velocity.course_deg); }},
      {"speed_sigma_m_per_s", kReal,
       [](TextArray& a, const P& p) { a.add(p.velocity.speed_sigma_m_per_s); }},
  };
}

std::vector<Column<BearingOnly>> line_columns() {
  using B = BearingOnly;
  return {
      {"channel_id", "bigint", [](TextArray& a, const B& b) { a.add(b.key.channel); }, true},
      {"line_id", "bigint", [](TextArray& a, const B& b) { a.add(b.key.id); }, true},
      {"station_id", "integer", [](TextArray& a, const B& b) { a.add(b.key.station); }, true},
      {"revision", "bigint", [](TextArray& a, const B& b) { a.add(b.revision); }},
      {"state", "text", [](TextArray& a, const B& b) { a.add(to_string(b.state)); }},
      {"start", "text", [](TextArray& a, const B& b) { a.add(b.station_position); }, false,
       "geography"},
      {"azimuth_deg", kReal, [](TextArray& a, const B& b) { a.add(b.azimuth_deg); }},
      {"sigma_deg", kReal, [](TextArray& a, const B& b) { a.add(b.sigma_deg); }},
      {"frequency_hz", kReal, [](TextArray& a, const B& b) { a.add(b.frequency_hz); }},
      {"first_heard", "timestamptz", [](TextArray& a, const B& b) { a.add(b.first_heard); }},
      {"last_heard", "timestamptz", [](TextArray& a, const B& b) { a.add(b.last_heard); }},
      {"bearings", "bigint", [](TextArray& a, const B& b) { a.add(b.bearings); }},
      {"transmissions", "bigint", [](TextArray& a, const B& b) { a.add(b.transmissions); }},
      {"emitter_id", "bigint",
       [](TextArray& a, const B& b) { b.emitter ? a.add(b.emitter->id) : a.add_null(); }},
  };
}

std::vector<Column<RegisterMatch>> match_columns() {
  using M = RegisterMatch;
  return {
      {"channel_id", "bigint", [](TextArray& a, const M& m) { a.add(m.emitter.channel); }, true},
      {"emitter_id", "bigint", [](TextArray& a, const M& m) { a.add(m.emitter.id); }, true},
      {"verdict", "text", [](TextArray& a, const M& m) { a.add(to_string(m.verdict)); }},
      {"posterior", kReal, [](TextArray& a, const M& m) { a.add(m.posterior); }},
      {"licence_id", "text", [](TextArray& a, const M& m) { a.add(m.licence); }},
      {"distance_m", kReal, [](TextArray& a, const M& m) { a.add(m.distance_m); }},
      {"frequency_offset_hz", kReal,
       [](TextArray& a, const M& m) { a.add(m.frequency_offset_hz); }},
      {"evidence", "text", [](TextArray& a, const M& m) { a.add(m.evidence); }},
  };
}

/// For rows without a revision: the last of those given.
template <typename T, typename KeyOf>
void write_last(pqxx::work& tx, const std::string& table, const std::vector<Column<T>>& columns,
                const std::vector<T>& rows, KeyOf key_of) {
  if (rows.empty()) return;
  const auto chosen = latest(rows, key_of, [](const T&) { return 0; });
  upsert(tx, table, fill(columns, chosen), Guard::none);
}

void remove_track_points(pqxx::work& tx, const std::vector<const TrackPoint*>& points) {
  TextArray channels, emitters, times;
  for (const TrackPoint* p : points) {
    channels.add(p->emitter.channel);
    emitters.add(p->emitter.id);
    times.add(p->at);
  }
  execute(tx,
          "DELETE FROM track_point AS t USING unnest($1::bigint[], $2::bigint[], "
          "$3::timestamptz[]) AS g (channel_id, emitter_id, at) WHERE t.channel_id = g.channel_id "
          "AND t.emitter_id = g.emitter_id AND t.at = g.at",
          {channels.literal(), emitters.literal(), times.literal()});
}

}  // namespace

void write_emitters(pqxx::work& tx, const std::vector<Emitter>& emitters) {
  if (emitters.empty()) return;
  const auto rows = latest(
      emitters, [](const Emitter& e) { return e.key; },
      [](const Emitter& e) { return e.revision; });
  upsert(tx, "emitter", fill(emitter_columns(), rows), Guard::revision);
}

void write_events(pqxx::work& tx, const std::vector<EmitterEvent>& events) {
  // By what the table can tell apart: two in one microsecond are one row.
  write_last(tx, "emitter_event", event_columns(), events, [](const EmitterEvent& v) {
    return std::tuple(v.emitter, std::chrono::floor<std::chrono::microseconds>(v.at), v.kind);
  });
}

void write_track_points(pqxx::work& tx, const std::vector<TrackPoint>& points) {
  if (points.empty()) return;
  const auto chosen = latest(
      points,
      [](const TrackPoint& p) {
        return std::pair(p.emitter, std::chrono::floor<std::chrono::microseconds>(p.at));
      },
      [](const TrackPoint&) { return 0; });
  std::vector<const TrackPoint*> there, withdrawn;
  for (const TrackPoint* p : chosen) (p->withdrawn ? withdrawn : there).push_back(p);
  if (!there.empty()) upsert(tx, "track_point", fill(track_columns(), there), Guard::none);
  if (!withdrawn.empty()) remove_track_points(tx, withdrawn);
}

void write_bearing_only(pqxx::work& tx, const std::vector<BearingOnly>& lines) {
  if (lines.empty()) return;
  const auto rows = latest(
      lines, [](const BearingOnly& b) { return b.key; },
      [](const BearingOnly& b) { return b.revision; });
  upsert(tx, "bearing_only", fill(line_columns(), rows), Guard::revision);
}

void write_matches(pqxx::work& tx, const std::vector<RegisterMatch>& matches) {
  write_last(tx, "register_match", match_columns(), matches,
             [](const RegisterMatch& m) { return m.emitter; });
}

}  // namespace fixwright::store
