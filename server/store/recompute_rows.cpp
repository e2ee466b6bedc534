#include "server/store/recompute_rows.hpp"

#include "server/store/identity.hpp"
#include "server/store/rows.hpp"
#include "server/store/text_array.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

constexpr auto kNotFound = "not found again when history was recomputed, run ";

using Parameters = std::vector<std::optional<std::string>>;

/// $2 are the channels, null for all.
std::string on_channels(const std::string& alias) {
  return "($2::bigint[] IS NULL OR " + alias + ".channel_id = ANY ($2::bigint[])) ";
}

/// $1 is the begin, as a transmission_id.
std::string from_then_on(const std::string& alias) {
  return alias + ".transmission_id >= $1::bigint AND " + on_channels(alias);
}

Parameters stretch_and(const RecomputeStretch& s, std::int64_t third) {
  return {s.since_id, s.channels, std::to_string(third)};
}

/// Rows of emitters of the run, $1. The begin is $2.
constexpr auto kOfReplaced =
    "b.run_id = $1::bigint AND t.channel_id = b.channel_id AND t.emitter_id = b.emitter_id ";
constexpr auto kSince = "AND t.at >= $2::timestamptz";

void copy_fixes(pqxx::work& tx, const RecomputeStretch& s) {
  execute(tx,
          "INSERT INTO fix_before SELECT $3::bigint, t.* FROM fix AS t "
          "WHERE t.state <> 'withdrawn' AND " +
              from_then_on("t"),
          stretch_and(s, s.run));
  execute(tx,
          "INSERT INTO fix_bearing_before SELECT $3::bigint, t.* FROM fix_bearing AS t WHERE " +
              from_then_on("t"),
          stretch_and(s, s.run));
}

void copy_emitters(pqxx::work& tx, const RecomputeStretch& s) {
  execute(tx,
          "INSERT INTO emitter_before SELECT $3::bigint, e.* FROM emitter AS e "
          "WHERE (e.last_heard >= $1::timestamptz OR EXISTS (SELECT FROM emitter_event AS v "
          "WHERE v.channel_id = e.channel_id AND v.emitter_id = e.emitter_id "
          "AND v.at >= $1::timestamptz)) AND " +
              on_channels("e"),
          {s.since, s.channels, std::to_string(s.run)});
  const auto copy = [&](const std::string& table, const std::string& more, const Parameters& p) {
    execute(tx,
            "INSERT INTO " + table + "_before SELECT $1::bigint, t.* FROM " + table +
                " AS t, emitter_before AS b WHERE " + kOfReplaced + more,
            p);
  };
  copy("emitter_event", kSince, {std::to_string(s.run), s.since});
  copy("track_point", kSince, {std::to_string(s.run), s.since});
  copy("register_match", "", {std::to_string(s.run)});
}

/// Nothing hangs on the identity of a line: those heard since are found again or gone.
void move_lines(pqxx::work& tx, const RecomputeStretch& s) {
  execute(
      tx,
      "WITH gone AS (DELETE FROM bearing_only AS t WHERE t.last_heard >= $1::timestamptz AND " +
          on_channels("t") +
          "RETURNING t.*) INSERT INTO bearing_only_before SELECT $3::bigint, g.* FROM gone AS g",
      {s.since, s.channels, std::to_string(s.run)});
}

/// What counts in the hours is taken out while it still stands; a day at a time.
void take_out_of_hours(pqxx::work& tx, const RecomputeStretch& s) {
  tx.exec("SELECT FROM hour_turn FOR UPDATE");
  execute(tx,
          "SELECT count_results(array_agg(t.channel_id), array_agg(t.transmission_id), -1) "
          "FROM transmission AS t WHERE " +
              from_then_on("t") + "GROUP BY date_bin('1 day', t.start_at, '2000-01-01 00:00Z')",
          {s.since_id, s.channels});
}

void withdraw(pqxx::work& tx, const RecomputeStretch& s) {
  for (const std::string table : {"transmission", "fix"}) {
    execute(tx,
            "UPDATE " + table + " AS t SET state = 'withdrawn', revision = $3::bigint WHERE " +
                from_then_on("t"),
            stretch_and(s, s.revision));
  }
  execute(tx, "DELETE FROM fix_bearing AS t WHERE " + from_then_on("t"), {s.since_id, s.channels});
  const auto drop = [&](const std::string& table, const std::string& more, const Parameters& p) {
    execute(tx,
            "DELETE FROM " + table + " AS t USING emitter_before AS b WHERE " + kOfReplaced + more,
            p);
  };
  drop("emitter_event", kSince, {std::to_string(s.run), s.since});
  drop("track_point", kSince, {std::to_string(s.run), s.since});
  drop("register_match", "", {std::to_string(s.run)});
}

std::set<EmitterKey> keys(const pqxx::result& rows) {
  std::set<EmitterKey> found;
  for (const auto& row : rows) {
    found.insert({row[0].as<ChannelId>(), row[1].as<std::int64_t>()});
  }
  return found;
}

}  // namespace

void take_turn(pqxx::work& tx) {
  if (!tx.exec1("SELECT pg_try_advisory_xact_lock(hashtext('recompute_run'))")[0].as<bool>()) {
    throw DatabaseRefused("another recompute is under way; nothing was changed: wait for its end");
  }
  const auto server = tx.exec(
      "SELECT FROM pg_stat_activity WHERE datname = current_database() "
      "AND application_name = 'fixwright-server' AND pid <> pg_backend_pid() LIMIT 1");
  if (!server.empty()) {
    throw DatabaseRefused(
        "a server writes to this database; nothing was changed: stop it first, and start it "
        "after, it goes on from what was recomputed");
  }
}

RecomputeStretch begin_run(pqxx::work& tx, const RecomputeOrder& order) {
  RecomputeStretch s;
  s.since = format_rfc3339(order.since, 6);
  s.since_id = std::to_string(transmission_id({0, order.since}));
  if (!order.channels.empty()) {
    TextArray channels;
    for (const ChannelId channel : order.channels) channels.add(channel);
    s.channels = channels.literal();
  }
  s.run = execute(tx,
                  "INSERT INTO recompute_run (since, channels, done_at, done_by, note) VALUES "
                  "($1::timestamptz, $2::bigint[], $3::timestamptz, $4, $5) RETURNING run_id",
                  {s.since, s.channels, format_rfc3339(order.at, 6), order.by, order.note})
              .at(0)[0]
              .as<std::int64_t>();
  s.revision = tx.exec1(
                     "SELECT 1 + greatest((SELECT max(revision) FROM emitter), "
                     "(SELECT max(revision) FROM transmission), (SELECT max(revision) FROM fix), "
                     "(SELECT max(revision) FROM bearing_only), "
                     "0)")[0]
                   .as<std::uint32_t>();
  return s;
}

std::set<EmitterKey> set_aside(pqxx::work& tx, const RecomputeStretch& stretch) {
  copy_fixes(tx, stretch);
  copy_emitters(tx, stretch);
  move_lines(tx, stretch);
  take_out_of_hours(tx, stretch);
  withdraw(tx, stretch);
  return keys(execute(tx,
                      "SELECT channel_id, emitter_id FROM emitter_before "
                      "WHERE run_id = $1::bigint",
                      {std::to_string(stretch.run)}));
}

std::set<EmitterKey> known_emitters(pqxx::work& tx, const RecomputeStretch& stretch) {
  return keys(execute(tx,
                      "SELECT channel_id, emitter_id FROM emitter "
                      "WHERE $1::bigint[] IS NULL OR channel_id = ANY ($1::bigint[])",
                      {stretch.channels}));
}

SharedBearings shared_bearings(pqxx::work& tx, const RecomputeStretch& stretch,
                               const std::vector<UsedBearing>& bearings) {
  if (bearings.empty()) return {};
  TextArray channels, transmissions, stations, streams, sequences, emitters;
  for (const UsedBearing& b : bearings) {
    channels.add(b.transmission.channel);
    transmissions.add(transmission_id(b.transmission));
    stations.add(b.bearing.station);
    streams.add(as_stored(b.bearing.stream));
    sequences.add(as_stored(b.bearing.sequence));
    emitters.add(b.emitter.id);
  }
  const auto rows = execute(
      tx,
      "SELECT n.channel_id, n.emitter_id, f.emitter_id, count(*) "
      "FROM unnest($2::bigint[], $3::bigint[], $4::integer[], $5::bigint[], $6::bigint[], "
      "$7::bigint[]) AS n (channel_id, transmission_id, station_id, stream_id, sequence, "
      "emitter_id) JOIN fix_bearing_before AS b USING (channel_id, transmission_id, station_id, "
      "stream_id, sequence) JOIN fix_before AS f USING (run_id, channel_id, transmission_id, "
      "ordinal) WHERE b.run_id = $1::bigint AND b.used AND f.emitter_id IS NOT NULL "
      "GROUP BY n.channel_id, n.emitter_id, f.emitter_id",
      {std::to_string(stretch.run), channels.literal(), transmissions.literal(), stations.literal(),
       streams.literal(), sequences.literal(), emitters.literal()});
  SharedBearings shared;
  for (const auto& row : rows) {
    const auto channel = row[0].as<ChannelId>();
    shared[{{channel, row[1].as<std::int64_t>()}, {channel, row[2].as<std::int64_t>()}}] =
        row[3].as<std::size_t>();
  }
  return shared;
}

void retire(pqxx::work& tx, const RecomputeStretch& stretch, const std::set<EmitterKey>& gone,
            TimePoint at) {
  TextArray channels, ids;
  for (const EmitterKey& key : gone) {
    channels.add(key.channel);
    ids.add(key.id);
  }
  execute(tx,
          "WITH gone AS (UPDATE emitter AS e SET state = 'retired', revision = $3::bigint "
          "FROM unnest($1::bigint[], $2::bigint[]) AS g (channel_id, emitter_id) "
          "WHERE e.channel_id = g.channel_id AND e.emitter_id = g.emitter_id "
          "RETURNING e.channel_id, e.emitter_id) "
          "INSERT INTO emitter_event (channel_id, emitter_id, at, kind, evidence) "
          "SELECT g.channel_id, g.emitter_id, $4::timestamptz, 'retired', $5 FROM gone AS g",
          {channels.literal(), ids.literal(), std::to_string(stretch.revision),
           format_rfc3339(at, 6), kNotFound + std::to_string(stretch.run)});
}

RecomputeSummary count_run(pqxx::work& tx, const RecomputeStretch& s, std::size_t emitters_new) {
  const std::string statement =
      "WITH pair AS (SELECT e.state, ST_Distance(b.position, e.position) AS moved_m "
      "FROM emitter_before AS b JOIN emitter AS e ON e.channel_id = b.channel_id "
      "AND e.emitter_id = b.emitter_id WHERE b.run_id = $3::bigint AND b.state <> 'retired') "
      "UPDATE recompute_run SET emitters_new = $4::bigint, "
      "fixes_before = (SELECT count(*) FROM fix_before AS f WHERE f.run_id = $3::bigint "
      "AND f.refusal = 'none'), "
      "fixes_after = (SELECT count(*) FROM fix AS t WHERE t.state <> 'withdrawn' "
      "AND t.refusal = 'none' AND " +
      from_then_on("t") +
      "), emitters_before = (SELECT count(*) FROM pair), "
      "emitters_gone = (SELECT count(*) FROM pair WHERE pair.state = 'retired'), "
      "median_moved_m = (SELECT percentile_cont(0.5) WITHIN GROUP (ORDER BY moved_m) "
      "FROM pair WHERE pair.state <> 'retired'), "
      "largest_moved_m = (SELECT max(moved_m) FROM pair WHERE pair.state <> 'retired') "
      "WHERE run_id = $3::bigint RETURNING *";
  Parameters parameters = stretch_and(s, s.run);
  parameters.push_back(std::to_string(emitters_new));
  const auto row = execute(tx, statement, parameters).at(0);
  return {.run = s.run,
          .fixes_before = row["fixes_before"].as<std::size_t>(),
          .fixes_after = row["fixes_after"].as<std::size_t>(),
          .emitters_before = row["emitters_before"].as<std::size_t>(),
          .emitters_gone = row["emitters_gone"].as<std::size_t>(),
          .emitters_new = emitters_new,
          .median_moved_m = optional<double>(row["median_moved_m"]),
          .largest_moved_m = optional<double>(row["largest_moved_m"])};
}

}  // namespace fixwright::store
