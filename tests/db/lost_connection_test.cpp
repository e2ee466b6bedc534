/// Bearings are stored exactly once, whenever the connection breaks.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <atomic>
#include <future>
#include <pqxx/pqxx>
#include <thread>

#include "server/store/bearing_store.hpp"
#include "server/store/small_tables.hpp"
#include "tests/db/samples.hpp"

/// libpqxx 6.4 loses one 2 kB result for each connection that breaks under it (its own frames
/// alone are on the stack). Only its leaks are silenced, only here; no effect without ASan.
extern "C" const char* __lsan_default_suppressions() { return "leak:libpqxx-6.4.so"; }

namespace fixwright::test {
namespace {

const char* const kServers =
    "FROM pg_stat_activity WHERE datname = current_database() "
    "AND usename = 'fixwright_writer' AND pid <> pg_backend_pid()";

class LostConnectionTest : public testing::Test {
 protected:
  std::string stored() {
    return value(database.owner(),
                 "SELECT string_agg(sequence::text, ',' ORDER BY sequence) "
                 "FROM bearing");
  }
  void cut_off_server() {
    rows(database.owner(), std::string("SELECT pg_terminate_backend(pid) ") + kServers);
  }
  void wait_until_server_waits_for_a_lock() {
    while (value(database.owner(), std::string("SELECT count(*) ") + kServers +
                                       " AND wait_event_type = 'Lock'") == "0") {
      std::this_thread::yield();
    }
  }
  /// Cuts the server off while an append waits for what `lock` holds, then sends it again.
  void cut_off_while_waiting_for(const std::string& lock) {
    pqxx::connection holder(database.owner());
    pqxx::work held(holder);
    held.exec(lock);
    auto first = std::async(std::launch::async, [&] { return log.append(batch); });
    wait_until_server_waits_for_a_lock();
    cut_off_server();
    EXPECT_THROW(first.get(), store::DatabaseAway);
    held.commit();
    EXPECT_EQ(stored(), "1");  // what was there before
    EXPECT_EQ(log.append(batch).stored.size(), 2U);
    EXPECT_EQ(stored(), "1,2,3");
  }

  ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
  store::BearingStore log{pool};
  const TimePoint noon = at("2031-05-04T12:00:00Z");
  const std::vector<Bearing> before{plain_bearing(1, 7, 1, noon)};
  const std::vector<Bearing> batch{plain_bearing(1, 7, 2, noon), plain_bearing(1, 7, 3, noon)};
};

TEST_F(LostConnectionTest, BetweenTwoAppends) {
  log.append(before);
  cut_off_server();
  EXPECT_THROW(log.append(batch), store::DatabaseAway);
  EXPECT_EQ(log.append(batch).stored.size(), 2U);
  EXPECT_EQ(stored(), "1,2,3");
}

TEST_F(LostConnectionTest, BeforeTheMarkIsLocked) {
  log.append(before);
  cut_off_while_waiting_for("SELECT * FROM stream_mark FOR UPDATE");
}

TEST_F(LostConnectionTest, AfterTheMarkIsLockedAndBeforeRowsAreIn) {
  log.append(before);
  cut_off_while_waiting_for("LOCK TABLE bearing_20310504 IN EXCLUSIVE MODE");
}

TEST_F(LostConnectionTest, AfterTheCommitAndBeforeTheAnswer) {
  log.append(before);
  log.append(batch);  // arrived; suppose that nobody was told
  store::BearingStore restarted(pool);
  EXPECT_EQ(restarted.append(batch).marks.at(0).sequence, 3U);
  EXPECT_EQ(stored(), "1,2,3");
}

TEST_F(LostConnectionTest, AtAnyMomentOfManyAppends) {
  constexpr std::uint64_t kBearings = 600;
  constexpr int kCuts = 25;
  std::atomic<bool> done = false;
  std::atomic<int> cuts = 0;
  std::thread cutter([&] {
    pqxx::connection connection(database.owner());
    while (!done) {
      pqxx::nontransaction tx(connection);
      cuts += static_cast<int>(
          tx.exec(std::string("SELECT pg_terminate_backend(pid) ") + kServers).size());
    }
  });
  // Goes on until both enough bearings were stored and enough connections were cut.
  std::uint64_t sequence = 0;
  std::uint64_t stored_count = 0;
  while (sequence < kBearings || cuts < kCuts) {
    std::vector<Bearing> some;
    for (int i = 0; i < 3; ++i) some.push_back(plain_bearing(1, 7, ++sequence, noon));
    for (bool safe = false; !safe; done = cuts >= 10 * kCuts) {
      try {
        stored_count += log.append(some).stored.size();
        safe = true;
      } catch (const store::DatabaseAway&) {
      }
    }
  }
  done = true;
  cutter.join();
  EXPECT_LE(stored_count, sequence);  // some commits arrived without their answer
  EXPECT_EQ(value(database.owner(), "SELECT count(*) FROM bearing"), std::to_string(sequence));
  EXPECT_EQ(value(database.owner(), "SELECT count(DISTINCT sequence) FROM bearing"),
            std::to_string(sequence));
  EXPECT_EQ(log.mark(1, 7), sequence);
}

TEST_F(LostConnectionTest, PoolMendsItselfAfterOneFailure) {
  pool.ping();
  cut_off_server();
  EXPECT_THROW(pool.ping(), store::DatabaseAway);
  EXPECT_NO_THROW(pool.ping());
}

TEST_F(LostConnectionTest, NoServerIsAwayAndSaysSoInOneLine) {
  store::Database nowhere{{"host=/nonexistent dbname=fixwright", 1, std::chrono::seconds(2)}};
  store::BearingStore there(nowhere);
  EXPECT_THROW(nowhere.ping(), store::DatabaseAway);
  try {
    there.append(batch);
    FAIL() << "an append without a database";
  } catch (const store::DatabaseAway& e) {
    EXPECT_THAT(e.what(), testing::StartsWith("no database: "));
    EXPECT_EQ(std::string(e.what()).find('\n'), std::string::npos);
  }
}

}  // namespace
}  // namespace fixwright::test
