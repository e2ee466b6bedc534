/// Transmissions, fixes and the bearings in them.

#include <set>

#include "server/store/identity.hpp"
#include "server/store/solution_columns.hpp"
#include "server/store/write_results.hpp"

namespace fixwright::store {

namespace {

std::string station_ids(const Transmission& t) {
  std::set<StationId> ids;
  for (const Bearing& b : t.bearings) ids.insert(b.key.station);
  TextArray array;
  for (const StationId id : ids) array.add(id);
  return array.literal();
}

std::vector<Column<Transmission>> transmission_columns() {
  using T = Transmission;
  return {
      {"channel_id", "bigint", [](TextArray& a, const T& t) { a.add(t.key.channel); }, true},
      {"transmission_id", "bigint", [](TextArray& a, const T& t) { a.add(transmission_id(t.key)); },
       true},
      {"revision", "bigint", [](TextArray& a, const T& t) { a.add(t.revision); }},
      {"state", "text", [](TextArray& a, const T& t) { a.add(to_string(t.state)); }},
      {"start_at", "timestamptz", [](TextArray& a, const T& t) { a.add(t.key.start); }},
      {"end_at", "timestamptz", [](TextArray& a, const T& t) { a.add(t.end); }},
      {"bearings", "integer", [](TextArray& a, const T& t) { a.add(t.bearings.size()); }},
      {"stations", "text", [](TextArray& a, const T& t) { a.add(station_ids(t)); }, false,
       "integer[]"},
  };
}

std::optional<std::int64_t> emitter_id(const Fix& f) {
  if (!f.emitter) return std::nullopt;
  return f.emitter->id;
}

std::vector<Column<Fix>> fix_columns() {
  std::vector<Column<Fix>> columns{
      {"channel_id", "bigint",
       [](TextArray& a, const Fix& f) { a.add(f.key.transmission.channel); }, true},
      {"transmission_id", "bigint",
       [](TextArray& a, const Fix& f) { a.add(transmission_id(f.key.transmission)); }, true},
      {"ordinal", "integer", [](TextArray& a, const Fix& f) { a.add(f.key.ordinal); }, true},
      {"revision", "bigint", [](TextArray& a, const Fix& f) { a.add(f.revision); }},
      {"state", "text", [](TextArray& a, const Fix& f) { a.add(to_string(f.state)); }},
      {"valid_at", "timestamptz", [](TextArray& a, const Fix& f) { a.add(f.valid_at); }},
      {"frequency_hz", "double precision",
       [](TextArray& a, const Fix& f) { a.add(f.frequency_hz); }},
      {"stations", "integer", [](TextArray& a, const Fix& f) { a.add(f.stations); }},
      {"emitter_id", "bigint", [](TextArray& a, const Fix& f) { a.add(emitter_id(f)); }},
  };
  const auto solution =
      solution_columns<Fix>([](const Fix& f) -> const CrossFix& { return f.solution; });
  columns.insert(columns.end(), solution.begin(), solution.end());
  return columns;
}

/// A bearing with the fix that it is part of.
struct Part {
  FixKey fix;
  FixBearing bearing;
};

std::vector<Column<Part>> part_columns() {
  return {
      {"channel_id", "bigint",
       [](TextArray& a, const Part& p) { a.add(p.fix.transmission.channel); }, true},
      {"transmission_id", "bigint",
       [](TextArray& a, const Part& p) { a.add(transmission_id(p.fix.transmission)); }, true},
      {"ordinal", "integer", [](TextArray& a, const Part& p) { a.add(p.fix.ordinal); }, true},
      {"station_id", "integer", [](TextArray& a, const Part& p) { a.add(p.bearing.key.station); },
       true},
      {"stream_id", "bigint",
       [](TextArray& a, const Part& p) { a.add(as_stored(p.bearing.key.stream)); }, true},
      {"sequence", "bigint",
       [](TextArray& a, const Part& p) { a.add(as_stored(p.bearing.key.sequence)); }, true},
      {"residual_deg", "double precision",
       [](TextArray& a, const Part& p) { a.add(p.bearing.residual_deg); }},
      {"used", "boolean", [](TextArray& a, const Part& p) { a.add(p.bearing.used); }},
  };
}

std::set<FixKey> keys_of(const pqxx::result& written) {
  std::set<FixKey> keys;
  for (const pqxx::row& row : written) {
    keys.insert({transmission_key(row[0].as<ChannelId>(), row[1].as<std::int64_t>()),
                 row[2].as<std::int32_t>()});
  }
  return keys;
}

void delete_parts(pqxx::work& tx, const std::set<FixKey>& fixes) {
  TextArray channels, transmissions, ordinals;
  for (const FixKey& key : fixes) {
    channels.add(key.transmission.channel);
    transmissions.add(transmission_id(key.transmission));
    ordinals.add(key.ordinal);
  }
  execute(tx,
          "DELETE FROM fix_bearing AS p USING unnest($1::bigint[], $2::bigint[], $3::integer[]) "
          "AS g (channel_id, transmission_id, ordinal) WHERE p.channel_id = g.channel_id AND "
          "p.transmission_id = g.transmission_id AND p.ordinal = g.ordinal",
          {channels.literal(), transmissions.literal(), ordinals.literal()});
}

void write_parts(pqxx::work& tx, const std::vector<const Fix*>& fixes,
                 const std::set<FixKey>& written) {
  std::vector<Part> parts;
  for (const Fix* fix : fixes) {
    if (!written.contains(fix->key)) continue;
    for (const FixBearing& bearing : fix->bearings) parts.push_back({fix->key, bearing});
  }
  if (parts.empty()) return;
  const auto rows = latest(
      parts, [](const Part& p) { return std::pair(p.fix, p.bearing.key); },
      [](const Part&) { return 0; });
  upsert(tx, "fix_bearing", fill(part_columns(), rows), Guard::none);
}

}  // namespace

void write_transmissions(pqxx::work& tx, const std::vector<Transmission>& transmissions) {
  if (transmissions.empty()) return;
  const auto rows = latest(
      transmissions, [](const Transmission& t) { return t.key; },
      [](const Transmission& t) { return t.revision; });
  upsert(tx, "transmission", fill(transmission_columns(), rows), Guard::revision);
}

void write_fixes(pqxx::work& tx, const std::vector<Fix>& fixes) {
  if (fixes.empty()) return;
  const auto rows = latest(
      fixes, [](const Fix& f) { return f.key; }, [](const Fix& f) { return f.revision; });
  const auto written = keys_of(upsert(tx, "fix", fill(fix_columns(), rows), Guard::revision));
  if (written.empty()) return;
  delete_parts(tx, written);
  write_parts(tx, rows, written);
}

}  // namespace fixwright::store
