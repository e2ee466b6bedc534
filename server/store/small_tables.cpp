#include "server/store/small_tables.hpp"

#include "server/store/pool.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

constexpr auto kReal = "double precision";

std::vector<Column<Station>> station_columns() {
  using S = Station;
  return {
      {"station_id", "integer", [](TextArray& a, const S& s) { a.add(s.id); }, true},
      {"name", "text", [](TextArray& a, const S& s) { a.add(s.name); }},
      {"position", "text", [](TextArray& a, const S& s) { a.add(s.position); }, false, "geography"},
      {"antenna_height_m", kReal, [](TextArray& a, const S& s) { a.add(s.antenna_height_m); }},
      {"site_sigma_deg", kReal, [](TextArray& a, const S& s) { a.add(s.site_sigma_deg); }},
      {"bias_deg", kReal, [](TextArray& a, const S& s) { a.add(s.bias_deg); }},
      {"moves", "boolean", [](TextArray& a, const S& s) { a.add(s.moves); }},
  };
}

std::vector<Column<Channel>> channel_columns() {
  using C = Channel;
  return {
      {"channel_id", "bigint", [](TextArray& a, const C& c) { a.add(c.id); }, true},
      {"name", "text", [](TextArray& a, const C& c) { a.add(c.name); }},
      {"frequency_hz", kReal, [](TextArray& a, const C& c) { a.add(c.frequency_hz); }},
      {"bandwidth_hz", kReal, [](TextArray& a, const C& c) { a.add(c.bandwidth_hz); }},
  };
}

template <typename T>
std::vector<const T*> pointers(std::span<const T> rows) {
  std::vector<const T*> result;
  for (const T& row : rows) result.push_back(&row);
  return result;
}

/// \pre the table is locked against other writers, so that no id is given twice.
void give_ids(pqxx::work& tx, std::vector<Station>& stations) {
  std::map<std::string, StationId> known;
  StationId highest = 0;
  for (const pqxx::row& row : tx.exec("SELECT name, station_id FROM station")) {
    known[row[0].as<std::string>()] = row[1].as<StationId>();
    highest = std::max(highest, row[1].as<StationId>());
  }
  for (Station& s : stations) {
    const auto [entry, is_new] = known.try_emplace(s.name, highest + 1);
    if (is_new) ++highest;
    s.id = entry->second;
  }
}

}  // namespace

Stations register_stations(Database& database, std::vector<Station> stations) {
  change(database, [&](pqxx::work& tx) {
    tx.exec0("LOCK TABLE station IN SHARE ROW EXCLUSIVE MODE");
    give_ids(tx, stations);
    upsert(tx, "station", fill(station_columns(), pointers<Station>(stations)), Guard::none);
  });
  Stations by_id;
  for (Station& s : stations) by_id.emplace(s.id, std::move(s));
  return by_id;
}

void register_channels(Database& database, std::span<const Channel> channels) {
  change(database, [&](pqxx::work& tx) {
    upsert(tx, "channel", fill(channel_columns(), pointers(channels)), Guard::none);
  });
}

}  // namespace fixwright::store
