#include <map>
#include <set>

#include "server/store/identity.hpp"
#include "server/store/pool.hpp"
#include "server/store/reader.hpp"
#include "server/store/rows.hpp"
#include "server/store/solution_columns.hpp"

namespace fixwright::store {

namespace {

std::string select_fixes(const std::string& which) {
  return "SELECT f.channel_id, f.transmission_id, f.ordinal, f.revision, f.state, " +
         as_microseconds("f.valid_at", "valid_at_us") +
         ", f.frequency_hz, f.stations, f.emitter_id, " + solution_select("f") +
         " FROM fix AS f WHERE f.state <> 'withdrawn' AND " + which;
}

constexpr auto kOfEmitter =
    "f.channel_id = $1::bigint AND f.emitter_id = ANY ($2::bigint || ARRAY(SELECT r.emitter_id "
    "FROM emitter_redirect AS r WHERE r.channel_id = $1::bigint AND r.kept_id = $2::bigint)) "
    "ORDER BY f.valid_at DESC, f.transmission_id DESC, f.ordinal LIMIT $3::bigint";

constexpr auto kByKey =
    "f.channel_id = $1::bigint AND f.transmission_id = $2::bigint AND f.ordinal = $3::integer";

// A bearing whose day was dropped is left out: what it said is no longer known.
constexpr auto kBearings =
    "SELECT p.transmission_id, p.ordinal, p.station_id, p.stream_id, p.sequence, p.residual_deg, "
    "p.used, b.azimuth_deg, b.sigma_deg "
    "FROM unnest($2::bigint[], $3::integer[]) AS g (transmission_id, ordinal) "
    "JOIN fix_bearing AS p ON p.channel_id = $1::bigint "
    "AND p.transmission_id = g.transmission_id AND p.ordinal = g.ordinal "
    "JOIN transmission AS t ON t.channel_id = p.channel_id "
    "AND t.transmission_id = p.transmission_id "
    "JOIN bearing AS b ON b.channel_id = p.channel_id "
    "AND b.start_at BETWEEN t.start_at AND t.end_at AND b.station_id = p.station_id "
    "AND b.stream_id = p.stream_id AND b.sequence = p.sequence "
    "ORDER BY b.start_at, b.start_ns, p.station_id, p.stream_id < 0, p.stream_id, p.sequence";

FixView fix_of(const pqxx::row& row) {
  FixView view;
  Fix& f = view.fix;
  f.key = {transmission_key(row["channel_id"].as<ChannelId>(),
                            row["transmission_id"].as<std::int64_t>()),
           row["ordinal"].as<std::int32_t>()};
  f.revision = row["revision"].as<std::uint32_t>();
  f.state = word<ResultState>(row["state"], ResultState::withdrawn);
  f.valid_at = time(row["valid_at_us"]);
  f.frequency_hz = row["frequency_hz"].as<double>();
  f.stations = row["stations"].as<int>();
  f.solution = read_solution(row);
  if (!row["emitter_id"].is_null()) {
    f.emitter = {f.key.transmission.channel, row["emitter_id"].as<std::int64_t>()};
  }
  return view;
}

FixBearingView bearing_of(const pqxx::row& row) {
  return {{{row["station_id"].as<StationId>(), from_stored(row["stream_id"].as<std::int64_t>()),
            from_stored(row["sequence"].as<std::int64_t>())},
           row["residual_deg"].as<double>(),
           row["used"].as<bool>()},
          row["azimuth_deg"].as<double>(),
          row["sigma_deg"].as<double>()};
}

void add_bearings(pqxx::transaction_base& tx, ChannelId channel, std::vector<FixView>& views) {
  TextArray transmissions, ordinals;
  std::map<std::pair<std::int64_t, std::int32_t>, FixView*> by_key;
  for (FixView& view : views) {
    const FixKey& key = view.fix.key;
    transmissions.add(transmission_id(key.transmission));
    ordinals.add(key.ordinal);
    by_key[{transmission_id(key.transmission), key.ordinal}] = &view;
  }
  for (const pqxx::row& row : execute(
           tx, kBearings, {std::to_string(channel), transmissions.literal(), ordinals.literal()})) {
    FixView& view = *by_key.at({row[0].as<std::int64_t>(), row[1].as<std::int32_t>()});
    view.bearings.push_back(bearing_of(row));
    view.fix.bearings.push_back(view.bearings.back().part);
  }
}

}  // namespace

std::vector<FixView> Reader::fixes(EmitterKey key, std::size_t limit) {
  return look(database_, [&](auto& tx) {
    std::vector<FixView> views;
    for (const pqxx::row& row :
         execute(tx, select_fixes(kOfEmitter),
                 {std::to_string(key.channel), std::to_string(key.id), std::to_string(limit)})) {
      views.push_back(fix_of(row));
    }
    if (!views.empty()) add_bearings(tx, key.channel, views);
    return views;
  });
}

std::optional<FixView> Reader::fix(const FixKey& key) {
  return look(database_, [&](auto& tx) -> std::optional<FixView> {
    const auto channel = std::to_string(key.transmission.channel);
    const auto rows = execute(
        tx, select_fixes(kByKey),
        {channel, std::to_string(transmission_id(key.transmission)), std::to_string(key.ordinal)});
    if (rows.empty()) return std::nullopt;
    std::vector<FixView> views{fix_of(rows[0])};
    add_bearings(tx, key.transmission.channel, views);
    return std::move(views.front());
  });
}

std::optional<FixKey> Reader::newest_fix() {
  return look(database_, [](auto& tx) -> std::optional<FixKey> {
    const auto rows = tx.exec(
        "SELECT channel_id, transmission_id, ordinal FROM fix "
        "WHERE state <> 'withdrawn' AND refusal = 'none' "
        "ORDER BY valid_at DESC, channel_id, transmission_id, ordinal LIMIT 1");
    if (rows.empty()) return std::nullopt;
    return FixKey{transmission_key(rows[0][0].template as<ChannelId>(),
                                   rows[0][1].template as<std::int64_t>()),
                  rows[0][2].template as<std::int32_t>()};
  });
}

std::optional<TimePoint> Reader::end_of(const TransmissionKey& key) {
  return look(database_, [&](auto& tx) -> std::optional<TimePoint> {
    const auto rows = execute(
        tx,
        "SELECT " + as_microseconds("end_at", "end_at_us") +
            " FROM transmission WHERE channel_id = $1::bigint AND transmission_id = $2::bigint",
        {std::to_string(key.channel), std::to_string(transmission_id(key))});
    if (rows.empty()) return std::nullopt;
    return time(rows[0][0]);
  });
}

std::vector<Bearing> Reader::bearings_of(const FixView& view) {
  const TransmissionKey& key = view.fix.key.transmission;
  const auto end = end_of(key);
  if (!end) return {};
  std::set<BearingKey> wanted;
  for (const FixBearingView& b : view.bearings) wanted.insert(b.part.key);
  auto found = bearings(key.channel, key.start, *end + std::chrono::microseconds{1});
  std::erase_if(found, [&](const Bearing& b) { return !wanted.contains(b.key); });
  return found;
}

}  // namespace fixwright::store
