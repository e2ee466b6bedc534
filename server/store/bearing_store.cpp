#include "server/store/bearing_store.hpp"

#include <algorithm>
#include <map>
#include <mutex>
#include <set>

#include "server/store/bearing_rows.hpp"
#include "server/store/hour_sums.hpp"
#include "server/store/identity.hpp"
#include "server/store/pool.hpp"
#include "server/store/text_array.hpp"

namespace fixwright::store {

namespace {

using Stream = std::pair<StationId, StreamId>;
using Day = std::chrono::sys_days;

/// A mark inside an append, with what the append adds to it.
struct MovingMark {
  std::uint64_t sequence = 0;
  std::int64_t added = 0;
  TimePoint last_start;
};
using Marks = std::map<Stream, MovingMark>;

Stream stream_of(const Bearing& b) { return {b.key.station, b.key.stream}; }

Day day_of(TimePoint t) { return std::chrono::floor<std::chrono::days>(t); }

std::string day_text(Day day) { return format_rfc3339(day, 0).substr(0, 10); }

/// Takes the new ones and moves the marks over them.
std::vector<Bearing> filter(std::span<const Bearing> bearings, Marks& marks) {
  std::vector<Bearing> fresh;
  for (const Bearing& b : bearings) {
    MovingMark& mark = marks.at(stream_of(b));
    if (b.key.sequence <= mark.sequence) continue;
    mark = {b.key.sequence, mark.added + 1, b.start};
    fresh.push_back(b);
  }
  return fresh;
}

AppendResult result_of(const Marks& marks, std::vector<Bearing> stored) {
  AppendResult result;
  for (const auto& [stream, mark] : marks) {
    result.marks.push_back({stream.first, stream.second, mark.sequence});
  }
  result.stored = std::move(stored);
  return result;
}

std::vector<std::string> stream_arrays(const std::set<Stream>& streams) {
  TextArray stations, ids;
  for (const auto& [station, stream] : streams) {
    stations.add(station);
    ids.add(as_stored(stream));
  }
  return {stations.literal(), ids.literal()};
}

void make_streams(PqConnection& connection, const std::set<Stream>& streams) {
  connection.ask(
      "INSERT INTO stream_mark (station_id, stream_id, sequence, bearings) "
      "SELECT station_id, stream_id, 0, 0 FROM unnest($1::integer[], $2::bigint[]) "
      "AS given (station_id, stream_id) ORDER BY 1, 2 ON CONFLICT DO NOTHING",
      stream_arrays(streams));
}

Marks lock_marks(PqConnection& connection, const std::set<Stream>& streams) {
  const PqResult rows = connection.ask(
      "SELECT m.station_id, m.stream_id, m.sequence FROM stream_mark AS m "
      "JOIN unnest($1::integer[], $2::bigint[]) AS given (station_id, stream_id) "
      "ON m.station_id = given.station_id AND m.stream_id = given.stream_id "
      "ORDER BY m.station_id, m.stream_id FOR UPDATE OF m",
      stream_arrays(streams));
  Marks marks;
  for (int i = 0; i < PQntuples(rows.get()); ++i) {
    RowReader row(rows.get(), i);
    const StationId station = row.integer();
    const StreamId stream = from_stored(row.big());
    marks[{station, stream}].sequence = from_stored(row.big());
  }
  // Somebody emptied the table under us: begin again with what is there.
  if (marks.size() != streams.size()) throw DatabaseAway("stream marks vanished");
  return marks;
}

void move_marks(PqConnection& connection, const Marks& marks) {
  TextArray stations, streams, sequences, added, starts;
  for (const auto& [stream, mark] : marks) {
    if (mark.added == 0) continue;
    stations.add(stream.first);
    streams.add(as_stored(stream.second));
    sequences.add(as_stored(mark.sequence));
    added.add(mark.added);
    starts.add(mark.last_start);
  }
  connection.ask(
      "UPDATE stream_mark AS m SET sequence = given.sequence, "
      "bearings = m.bearings + given.added, last_start_at = given.last_start_at, "
      "moved_at = clock_timestamp() FROM unnest($1::integer[], $2::bigint[], $3::bigint[], "
      "$4::bigint[], $5::timestamptz[]) "
      "AS given (station_id, stream_id, sequence, added, last_start_at) "
      "WHERE m.station_id = given.station_id AND m.stream_id = given.stream_id",
      {stations.literal(), streams.literal(), sequences.literal(), added.literal(),
       starts.literal()});
}

void copy_in(PqConnection& connection, const std::vector<Bearing>& bearings) {
  CopyBuffer buffer;
  for (const Bearing& b : bearings) encode(b, buffer);
  connection.copy_in(kCopyBearings, std::move(buffer).finish());
}

}  // namespace

struct BearingStore::State {
  explicit State(Database& d) : database(d) {}

  PqConnection& connected() {
    if (!connection) connection = std::make_unique<PqConnection>(database.pool().connection_text());
    return *connection;
  }

  /// Whatever was believed of the database may be wrong now.
  void forget() {
    connection.reset();
    days.clear();
    streams.clear();
  }

  void make_day(Day day) {
    if (!days.insert(day).second) return;
    connected().ask("SELECT make_bearing_day($1::date)", {day_text(day)});
  }

  /// Days and streams are made before the append's own transaction: they need no undo.
  std::set<Stream> prepare(std::span<const Bearing> bearings) {
    std::set<Stream> wanted, unknown;
    for (const Bearing& b : bearings) {
      const Day day = day_of(b.start);
      make_day(day);
      // The newest day's successor is ready before midnight needs it.
      if (day == *days.rbegin()) make_day(day + std::chrono::days(1));
      wanted.insert(stream_of(b));
    }
    std::set_difference(wanted.begin(), wanted.end(), streams.begin(), streams.end(),
                        std::inserter(unknown, unknown.end()));
    if (!unknown.empty()) make_streams(connected(), unknown);
    streams.insert(unknown.begin(), unknown.end());
    return wanted;
  }

  AppendResult append(std::span<const Bearing> bearings) {
    const std::set<Stream> wanted = prepare(bearings);
    connected().run("BEGIN");
    Marks marks = lock_marks(*connection, wanted);
    std::vector<Bearing> fresh = filter(bearings, marks);
    if (!fresh.empty()) {
      copy_in(*connection, fresh);
      count_in_hours(*connection, fresh);
      move_marks(*connection, marks);
    }
    connection->run("COMMIT");
    return result_of(marks, std::move(fresh));
  }

  Database& database;
  std::mutex mutex;
  std::unique_ptr<PqConnection> connection;
  std::set<Day> days;        // that have a partition
  std::set<Stream> streams;  // that have a mark
};

BearingStore::BearingStore(Database& database) : state_(std::make_unique<State>(database)) {}

BearingStore::~BearingStore() = default;

AppendResult BearingStore::append(std::span<const Bearing> bearings) {
  if (bearings.empty()) return {};
  const std::lock_guard lock(state_->mutex);
  try {
    return state_->append(bearings);
  } catch (const DatabaseRefused&) {
    // A day that was dropped under us is made again; any other reason fails again.
    state_->forget();
  } catch (...) {
    state_->forget();
    throw;
  }
  try {
    return state_->append(bearings);
  } catch (...) {
    state_->forget();
    throw;
  }
}

std::uint64_t BearingStore::mark(StationId station, StreamId stream) {
  return change(state_->database, [&](pqxx::work& tx) {
    const auto rows =
        tx.exec_params("SELECT sequence FROM stream_mark WHERE station_id = $1 AND stream_id = $2",
                       station, as_stored(stream));
    return rows.empty() ? 0 : from_stored(rows[0][0].as<std::int64_t>());
  });
}

void BearingStore::read(TimePoint from, TimePoint to,
                        const std::function<void(const Bearing&)>& each) {
  PqConnection connection(state_->database.pool().connection_text());
  connection.run("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY");
  const PqResult days = connection.ask("SELECT day::timestamptz FROM bearing_days() AS day", {});
  for (int i = 0; i < PQntuples(days.get()); ++i) {
    const TimePoint start = RowReader(days.get(), i).time();
    const TimePoint first = std::max(from, start);
    const TimePoint last = std::min<TimePoint>(to, start + std::chrono::days(1));
    // A day at a time: what is sorted at once has a bound.
    if (first < last) each_of_day(connection, first, last, each);
  }
  connection.run("COMMIT");
}

void BearingStore::make_days(TimePoint from, TimePoint to) {
  const std::lock_guard lock(state_->mutex);
  try {
    for (Day day = day_of(from); day <= day_of(to); day += std::chrono::days(1)) {
      state_->make_day(day);
    }
  } catch (...) {
    state_->forget();
    throw;
  }
}

}  // namespace fixwright::store
