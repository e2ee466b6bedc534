#include "station_agent/spool/spool.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <random>
#include <system_error>

#include "station_agent/spool/spool_lock.hpp"
#include "station_agent/spool/sqlite.hpp"

namespace fixwright::agent {

namespace {

constexpr int kSchemaVersion = 1;
constexpr std::int64_t kTrimStep = 1000;

std::int64_t ns(TimePoint t) { return t.time_since_epoch().count(); }
TimePoint from_ns(std::int64_t t) { return TimePoint{Duration{t}}; }

/// Random, so that a spool made anew after a disk was lost is never taken for the old one.
std::int64_t random_stream_id() {
  std::random_device device;
  std::uniform_int_distribution<std::int64_t> any(1, INT64_MAX);
  return any(device);
}

std::int64_t single(sqlite3* db, const char* sql) {
  Statement s(db, sql);
  s.step();
  return s.integer(0);
}

void make_tables(sqlite3* db) {
  Transaction t(db);
  execute(db,
          "CREATE TABLE state (one INTEGER PRIMARY KEY CHECK (one = 1),"
          " stream_id INTEGER NOT NULL, last_sequence INTEGER NOT NULL,"
          " dropped INTEGER NOT NULL, source_mark TEXT NOT NULL);"
          "CREATE TABLE bearing (sequence INTEGER PRIMARY KEY, start_ns INTEGER NOT NULL,"
          " appended_ns INTEGER NOT NULL, payload BLOB NOT NULL);");
  Statement(db, "INSERT INTO state VALUES (1, ?, 0, 0, '')").bind(1, random_stream_id()).run();
  execute(db, fmt::format("PRAGMA user_version = {}", kSchemaVersion).c_str());
  t.commit();
}

void prepare(sqlite3* db) {
  execute(db, "PRAGMA journal_mode = WAL");
  execute(db, "PRAGMA synchronous = FULL");
  const std::int64_t version = single(db, "PRAGMA user_version");
  if (version == kSchemaVersion) return;
  if (version != 0 || single(db, "SELECT count(*) FROM sqlite_schema") != 0) {
    throw SqliteError(fmt::format("is version {}, this agent needs {}", version, kSchemaVersion));
  }
  make_tables(db);
}

}  // namespace

struct Spool::Impl {
  Impl(SpoolLock taken, const std::filesystem::path& file, const SpoolLimits& bounds)
      : lock(std::move(taken)), db(open_sqlite(file.string())), limits(bounds), path(file) {}

  SpoolLock lock;
  SqliteHandle db;
  SpoolLimits limits;
  std::string path;
  mutable std::mutex mutex;
  std::int64_t stream_id = 0;
  std::string mark;
  SpoolStatus status;

  void load();
  void insert(std::span<const SpoolItem> items, TimePoint now);
  /// \return how many bearings the limits cost.
  std::int64_t trim(TimePoint now, std::int64_t waiting);
  void save(const SpoolStatus& next, const std::string& next_mark);
  /// Runs `work`; what SQLite throws becomes one line.
  template <typename T, typename Work>
  Result<T> guarded(Work work) const {
    const std::lock_guard hold(mutex);
    try {
      return work();
    } catch (const SqliteError& e) {
      return Error{fmt::format("spool {}: {}", path, e.what())};
    }
  }
};

void Spool::Impl::load() {
  Statement s(db.get(), "SELECT stream_id, last_sequence, dropped, source_mark FROM state");
  if (!s.step()) throw SqliteError("holds no state row: it is damaged, set it aside");
  stream_id = s.integer(0);
  status.last_sequence = static_cast<std::uint64_t>(s.integer(1));
  status.dropped = static_cast<std::uint64_t>(s.integer(2));
  mark = s.bytes(3);
  status.waiting = static_cast<std::uint64_t>(single(db.get(), "SELECT count(*) FROM bearing"));
}

void Spool::Impl::insert(std::span<const SpoolItem> items, TimePoint now) {
  Statement s(db.get(), "INSERT INTO bearing VALUES (?, ?, ?, ?)");
  auto sequence = static_cast<std::int64_t>(status.last_sequence);
  for (const SpoolItem& item : items) {
    s.bind(1, ++sequence).bind(2, ns(item.start)).bind(3, ns(now)).bind_blob(4, item.payload);
    s.run();
  }
}

std::int64_t Spool::Impl::trim(TimePoint now, std::int64_t waiting) {
  std::int64_t dropped = 0;
  const auto excess = waiting - static_cast<std::int64_t>(limits.max_bearings);
  if (excess > 0) {
    Statement(db.get(),
              "DELETE FROM bearing WHERE sequence IN"
              " (SELECT sequence FROM bearing ORDER BY sequence LIMIT ?)")
        .bind(1, excess)
        .run();
    dropped += sqlite3_changes64(db.get());
  }
  Statement aged(db.get(),
                 "DELETE FROM bearing WHERE appended_ns < ? AND sequence IN"
                 " (SELECT sequence FROM bearing ORDER BY sequence LIMIT ?)");
  std::int64_t gone = kTrimStep;
  while (gone == kTrimStep) {  // oldest first, in steps, so no read of the whole table
    aged.bind(1, ns(now - limits.max_age)).bind(2, kTrimStep).run();
    gone = sqlite3_changes64(db.get());
    dropped += gone;
  }
  return dropped;
}

void Spool::Impl::save(const SpoolStatus& next, const std::string& next_mark) {
  Statement(db.get(),
            "UPDATE state SET stream_id = ?, last_sequence = ?, dropped = ?,"
            " source_mark = ?")
      .bind(1, stream_id)
      .bind(2, static_cast<std::int64_t>(next.last_sequence))
      .bind(3, static_cast<std::int64_t>(next.dropped))
      .bind_text(4, next_mark)
      .run();
}

Spool::Spool(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Spool::~Spool() = default;

Result<std::unique_ptr<Spool>> Spool::open(const std::filesystem::path& path,
                                           const SpoolLimits& limits) {
  std::error_code ignored;  // the lock file says what is wrong with the folder
  if (path.has_parent_path()) std::filesystem::create_directories(path.parent_path(), ignored);
  auto lock = SpoolLock::take(path);
  if (!lock) return Error{lock.error()};
  try {
    auto impl = std::make_unique<Impl>(std::move(lock).value(), path, limits);
    prepare(impl->db.get());
    impl->load();
    return std::unique_ptr<Spool>(new Spool(std::move(impl)));
  } catch (const SqliteError& e) {
    return Error{fmt::format("spool {}: {}: move the file away and a new one is made",
                             path.string(), e.what())};
  }
}

std::uint64_t Spool::stream_id() const {
  const std::lock_guard hold(impl_->mutex);
  return static_cast<std::uint64_t>(impl_->stream_id);
}

SpoolStatus Spool::status() const {
  const std::lock_guard hold(impl_->mutex);
  return impl_->status;
}

std::string Spool::source_mark() const {
  const std::lock_guard hold(impl_->mutex);
  return impl_->mark;
}

Result<std::uint64_t> Spool::append(std::span<const SpoolItem> items, TimePoint now,
                                    const std::optional<std::string>& source_mark) {
  return impl_->guarded<std::uint64_t>([&] {
    Impl& spool = *impl_;
    const std::string mark = source_mark.value_or(spool.mark);
    SpoolStatus next = spool.status;
    Transaction t(spool.db.get());
    spool.insert(items, now);
    next.last_sequence += items.size();
    next.waiting += items.size();
    const auto dropped =
        static_cast<std::uint64_t>(spool.trim(now, static_cast<std::int64_t>(next.waiting)));
    next.waiting -= dropped;
    next.dropped += dropped;
    spool.save(next, mark);
    t.commit();
    spool.status = next;
    spool.mark = mark;
    return next.last_sequence;
  });
}

Result<std::vector<SpooledBearing>> Spool::read_after(std::uint64_t sequence,
                                                      std::size_t max) const {
  return impl_->guarded<std::vector<SpooledBearing>>([&] {
    Statement s(impl_->db.get(),
                "SELECT sequence, start_ns, payload FROM bearing WHERE sequence > ?"
                " ORDER BY sequence LIMIT ?");
    s.bind(1, static_cast<std::int64_t>(sequence)).bind(2, static_cast<std::int64_t>(max));
    std::vector<SpooledBearing> bearings;
    while (s.step()) {
      bearings.push_back(
          {static_cast<std::uint64_t>(s.integer(0)), from_ns(s.integer(1)), s.bytes(2)});
    }
    return bearings;
  });
}

std::optional<TimePoint> Spool::oldest_start_after(std::uint64_t sequence) const {
  const auto oldest = impl_->guarded<std::optional<TimePoint>>([&] {
    Statement s(impl_->db.get(),
                "SELECT min(start_ns) FROM (SELECT start_ns FROM bearing WHERE sequence > ?"
                " ORDER BY sequence LIMIT 10000)");
    s.bind(1, static_cast<std::int64_t>(sequence)).step();
    return s.is_null(0) ? std::nullopt : std::optional(from_ns(s.integer(0)));
  });
  return oldest ? *oldest : std::nullopt;
}

Result<std::uint64_t> Spool::forget_through(std::uint64_t sequence) {
  return impl_->guarded<std::uint64_t>([&] {
    Statement s(impl_->db.get(), "DELETE FROM bearing WHERE sequence <= ?");
    s.bind(1, static_cast<std::int64_t>(sequence)).run();
    const auto gone = static_cast<std::uint64_t>(sqlite3_changes64(impl_->db.get()));
    impl_->status.waiting -= gone;
    return gone;
  });
}

Result<std::uint64_t> Spool::renew_stream() {
  return impl_->guarded<std::uint64_t>([&] {
    Impl& spool = *impl_;
    const std::int64_t old_stream = spool.stream_id;
    const SpoolStatus next{spool.status.waiting, spool.status.waiting, 0};
    try {
      Transaction t(spool.db.get());
      // By way of negative numbers: a primary key may not clash in the middle of an update.
      execute(spool.db.get(),
              "UPDATE bearing SET sequence = -n FROM (SELECT sequence AS s,"
              " row_number() OVER (ORDER BY sequence) AS n FROM bearing) WHERE sequence = s");
      execute(spool.db.get(), "UPDATE bearing SET sequence = -sequence");
      spool.stream_id = random_stream_id();
      spool.save(next, spool.mark);
      t.commit();
    } catch (const SqliteError&) {
      spool.stream_id = old_stream;
      throw;
    }
    spool.status = next;
    return static_cast<std::uint64_t>(spool.stream_id);
  });
}

}  // namespace fixwright::agent
