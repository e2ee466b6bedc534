/// `fixwright recompute`: history made anew with a calibration that was accepted late.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <fstream>
#include <functional>
#include <sstream>

#include "server/geodesy/geodesic.hpp"
#include "server/model/identities.hpp"
#include "server/store/bearing_store.hpp"
#include "server/store/calibration_book.hpp"
#include "server/store/recompute_book.hpp"
#include "server/store/result_writer.hpp"
#include "server/store/small_tables.hpp"
#include "server/tools/alert_try.hpp"
#include "server/tools/recompute_command.hpp"
#include "tests/db/command.hpp"
#include "tests/db/samples.hpp"
#include "tests/support/scenario/feed.hpp"

namespace fixwright::test {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

constexpr GeoPoint kMast{41.28, -150.28};
constexpr GeoPoint kOtherMast{41.32, -150.22};
constexpr auto kSince = "2031-05-04T10:05:00Z";

struct Told {
  int exit_code = -1;
  std::string out, err;
};

/// From the identities that a playback gives to those that are stored.
using Stored = std::function<Identities(const std::vector<EmitterKey>&)>;

scenario::Source mast_at(const GeoPoint& position, double later_s = 0.0) {
  return {.position = position,
          .on = {{later_s, later_s + 60.0}, {600.0 + later_s, 660.0 + later_s}}};
}

/// Two transmissions of one mast on Osmere, at 10:00 and 10:10, heard by four stations of which
/// the first indicates 5 degrees too much; stored as a server would have.
class RecomputeTest : public testing::Test {
 protected:
  explicit RecomputeTest(const std::vector<scenario::Source>& masts = {mast_at(kMast)},
                         const Stored& stored = {}) {
    std::ofstream(config_) << "[database]\nconnection = \"unused\"\n";
    store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
    stations_ = store::register_stations(pool, osmere_stations());
    const auto bearings = scenario::simulate(
        stations_, masts,
        {.seed = 4, .noise_deg = 0.3, .detection = 1.0, .reflection_deg = {{1, 5.0}}});
    store::BearingStore(pool).append(bearings);
    auto tables = scenario::run({}, stations_, scenario::arrivals(bearings, 0.3, 0.0, 1));
    if (stored) rename(tables, stored);
    store::ResultBatch batch;
    for (const auto& [key, t] : tables.transmissions) batch.transmissions.push_back(t);
    for (const auto& [key, f] : tables.fixes) batch.fixes.push_back(f);
    for (const auto& [key, e] : tables.emitters) batch.emitters.push_back(e);
    for (const auto& [key, v] : tables.events) batch.events.push_back(v);
    for (const auto& [key, b] : tables.bearing_only) batch.bearing_only.push_back(b);
    store::ResultWriter(pool).write(batch);
    accept_calibration(pool);
  }
  ~RecomputeTest() override { std::remove(config_.c_str()); }

  static void rename(scenario::Tables& tables, const Stored& stored) {
    std::vector<EmitterKey> confirmed;
    for (const Emitter& e : tables.in_state(EmitterState::confirmed)) confirmed.push_back(e.key);
    const Identities names = stored(confirmed);
    const auto name = [&](EmitterKey& key) {
      if (const auto found = names.find(key); found != names.end()) key = found->second;
    };
    for (auto& [key, e] : tables.emitters) name(e.key);
    for (auto& [key, v] : tables.events) name(v.emitter);
    for (auto& [key, f] : tables.fixes) {
      if (f.emitter) name(*f.emitter);
    }
  }

  static void accept_calibration(store::Database& pool) {
    ProposedCalibration p;
    p.station = 1;
    p.calibration.bias_deg = 5.0;
    p.bearings = 100;
    p.transmitters = 2;
    p.first = p.last = at("2031-05-04T09:00:00Z");
    p.evidence = "made for the test";
    p.proposed_by = "mara";
    store::CalibrationBook book(pool);
    const auto id = book.propose(p);
    ASSERT_TRUE(book.decide({id, at("2031-05-04T09:00:00Z"), "mara", ""}).ok());
  }

  Told recompute(bool dry_run = false, const std::string& since = kSince,
                 std::vector<ChannelId> channels = {}) {
    std::ostringstream out, err;
    const int exit_code = tools::run_recompute(
        {database.writer(), config_, since, std::move(channels), dry_run, "mara", "cable turned"},
        out, err);
    return {exit_code, out.str(), err.str()};
  }

  std::vector<std::string> ask(const std::string& query) { return rows(database.owner(), query); }

  /// The tables that a run may touch, as text.
  std::vector<std::string> everything() {
    std::vector<std::string> all;
    for (const std::string table :
         {"transmission", "fix", "fix_bearing", "emitter", "emitter_event", "register_match",
          "channel_hour", "emitter_hour", "hearing_hour", "emitter_memory", "recompute_run",
          "fix_before", "emitter_before"}) {
      for (const auto& row : ask("SELECT t::text FROM " + table + " AS t ORDER BY 1")) {
        all.push_back(table + row);
      }
    }
    return all;
  }

  [[nodiscard]] std::vector<std::string> broken_rules() const {
    const Finished checked =
        run_command({std::string(FIXWRIGHT_SOURCE_DIR) + "/sql/check.sh", database.owner()});
    return checked.status == 0 ? std::vector<std::string>{}
                               : std::vector<std::string>{checked.output};
  }

  /// Of fixes of the second transmission, the farthest, m.
  double farthest_m(const std::string& view) {
    return std::stod(value(database.reader(),
                           "SELECT max(ST_Distance(position::geography, "
                           "ST_MakePoint(-150.28, 41.28)::geography)) FROM " +
                               view + " WHERE refusal = 'none' AND valid_at >= '" + kSince + "'"));
  }

  ScratchDatabase database;
  std::string config_ =
      testing::TempDir() + testing::UnitTest::GetInstance()->current_test_info()->name() + ".toml";
  Stations stations_;
};

TEST_F(RecomputeTest, FixesOfTheStretchMoveToWhereTheCalibrationPutsThem) {
  const auto before =
      ask(std::string("SELECT f::text FROM fix AS f WHERE valid_at < '") + kSince + "'");
  const double was_m = farthest_m("fix_latest");
  const Told told = recompute();
  ASSERT_EQ(told.exit_code, 0) << told.err;
  // A bearing of four off by 5 of 0.3 degrees pulls a fix off by half a kilometre; without it 0.3
  // degrees at some 30 km are 160 m, and 300 m is near two sigmas of the poorest line.
  EXPECT_GT(was_m, 300.0);
  EXPECT_LT(farthest_m("fix_latest"), 300.0);
  EXPECT_EQ(farthest_m("fix_before_list"), was_m);
  // What is older stays as it was, byte for byte.
  EXPECT_EQ(ask(std::string("SELECT f::text FROM fix AS f WHERE valid_at < '") + kSince + "'"),
            before);
  EXPECT_THAT(broken_rules(), IsEmpty());
}

TEST_F(RecomputeTest, EmittersKeepTheirIdentityAndWhatTheyWereIsKept) {
  const auto before = ask("SELECT channel_id, emitter_id FROM emitter WHERE state = 'confirmed'");
  ASSERT_EQ(before.size(), 1U);
  const Told told = recompute();
  ASSERT_EQ(told.exit_code, 0) << told.err;
  EXPECT_EQ(ask("SELECT channel_id, emitter_id FROM emitter WHERE state = 'confirmed'"), before);
  EXPECT_EQ(ask("SELECT channel_id, emitter_id FROM emitter_before WHERE state = 'confirmed'"),
            before);
  EXPECT_THAT(ask("SELECT e.revision > b.revision FROM emitter AS e JOIN emitter_before AS b "
                  "USING (channel_id, emitter_id) WHERE e.state = 'confirmed'"),
              ElementsAre("t"));
  // The register is empty, so it says nothing.
  EXPECT_THAT(ask("SELECT verdict FROM register_match"), ElementsAre("undecided"));
  EXPECT_THAT(told.out, HasSubstr("run 1: what was before is in the views"));
  EXPECT_THAT(ask("SELECT done_by, note, emitters_before > 0, largest_moved_m > 0 "
                  "FROM recompute_run"),
              ElementsAre("mara|cable turned|t|t"));
}

TEST_F(RecomputeTest, ASecondRunChangesNothingMoreAndKeepsBoth) {
  ASSERT_EQ(recompute().exit_code, 0);
  const std::string positions =
      "SELECT channel_id, transmission_id, ordinal, ST_AsText(position), state, emitter_id "
      "FROM fix_latest ORDER BY 1, 2, 3";
  const auto first = ask(positions);
  ASSERT_EQ(recompute().exit_code, 0);
  EXPECT_EQ(ask(positions), first);
  EXPECT_THAT(ask("SELECT run_id FROM recompute_run ORDER BY 1"), ElementsAre("1", "2"));
  EXPECT_THAT(ask("SELECT DISTINCT run_id FROM fix_before ORDER BY 1"), ElementsAre("1", "2"));
  EXPECT_THAT(broken_rules(), IsEmpty());
}

TEST_F(RecomputeTest, ADryRunTellsTheSameAndChangesNothing) {
  const auto before = everything();
  const Told dry = recompute(true);
  EXPECT_EQ(dry.exit_code, 0) << dry.err;
  EXPECT_EQ(everything(), before);
  EXPECT_THAT(dry.out, HasSubstr("nothing was changed"));
  const Told real = recompute();
  const auto counts = [](const std::string& text) {
    return text.substr(text.find("fixes with"),
                       text.rfind('\n', text.size() - 2) - text.find("fixes with"));
  };
  EXPECT_EQ(counts(dry.out), counts(real.out));
}

TEST_F(RecomputeTest, AnEmitterThatIsNotFoundAgainIsRetiredWithTheReason) {
  ask("INSERT INTO emitter SELECT channel_id, emitter_id + 7, revision, state, motion, valid_at, "
      "frequency_hz, first_heard, last_heard, bearings, looks, stations, speed_m_per_s, "
      "course_deg, speed_sigma_m_per_s, refusal, grade, position, covariance_ee_m2, "
      "covariance_en_m2, covariance_nn_m2, semi_major_m, semi_minor_m, orientation_deg, "
      "probability, region_kind, region, region_open, chi_square, degrees_of_freedom, p_value, "
      "crossing_deg FROM emitter WHERE state = 'confirmed'");
  const Told told = recompute();
  ASSERT_EQ(told.exit_code, 0) << told.err;
  EXPECT_THAT(ask("SELECT e.state, v.kind, v.evidence FROM emitter AS e JOIN emitter_event AS v "
                  "USING (channel_id, emitter_id) WHERE emitter_id % 1000000 = 7"),
              ElementsAre("retired|retired|not found again when history was recomputed, run 1"));
  EXPECT_THAT(told.out, HasSubstr("1 of them not found again"));
}

TEST_F(RecomputeTest, OtherChannelsStayAsTheyWere) {
  const auto before = ask("SELECT f::text FROM fix AS f ORDER BY 1");
  const Told told = recompute(false, kSince, {77});
  EXPECT_EQ(told.exit_code, 1);
  EXPECT_THAT(told.err, HasSubstr("there are no bearings from 2031-05-04T10:05:00Z on"));
  EXPECT_EQ(ask("SELECT f::text FROM fix AS f ORDER BY 1"), before);
  EXPECT_THAT(ask("SELECT * FROM recompute_run"), IsEmpty());
}

TEST_F(RecomputeTest, ARunThatBreaksOffLeavesTheOldInForce) {
  const auto before = everything();
  store::Database pool{{database.writer(), 1, std::chrono::seconds(5), "fixwright"}};
  const store::RecomputeOrder order{at(kSince), {}, at(kSince), "mara", "", true};
  EXPECT_THROW(store::RecomputeBook(pool).replace(order,
                                                  [](store::RecomputeSink& sink) {
                                                    EXPECT_EQ(sink.replaced().size(), 1U);
                                                    throw std::runtime_error("the machine fell");
                                                  }),
               std::runtime_error);
  EXPECT_EQ(everything(), before);
}

TEST_F(RecomputeTest, NoServerMayRunMeanwhile) {
  store::Database server{{database.writer(), 1, std::chrono::seconds(5)}};
  server.ping();
  const auto before = everything();
  const Told told = recompute();
  EXPECT_EQ(told.exit_code, 2);
  EXPECT_THAT(told.err, HasSubstr("recompute: a server writes to this database"));
  EXPECT_EQ(everything(), before);
}

TEST_F(RecomputeTest, AServerSeesThatARunIsUnderWay) {
  store::Database pool{{database.writer(), 1, std::chrono::seconds(5), "fixwright"}};
  const store::RecomputeOrder order{at(kSince), {}, at(kSince), "mara", "", false};
  bool meanwhile = false;
  store::RecomputeBook(pool).replace(order, [&](store::RecomputeSink&) {
    store::Database server{{database.writer(), 1, std::chrono::seconds(5)}};
    meanwhile = store::RecomputeBook(server).running();
    EXPECT_THROW(store::RecomputeBook(server).replace(order, [](store::RecomputeSink&) {}),
                 store::DatabaseRefused);
  });
  EXPECT_TRUE(meanwhile);
  EXPECT_FALSE(store::RecomputeBook(pool).running());
}

TEST_F(RecomputeTest, WhoSaysNothingUsefulIsToldInOneLine) {
  EXPECT_THAT(recompute(false, "yesterday").err, HasSubstr("--since = \"yesterday\""));
  std::ostringstream out, err;
  EXPECT_EQ(tools::run_recompute({database.writer(), config_, kSince, {}, false, "", ""}, out, err),
            2);
  EXPECT_EQ(err.str(), "recompute: nobody says so: give who; nothing was changed\n");
}

TEST_F(RecomputeTest, AlertsCanBeTriedOverTheSameHistory) {
  ask("INSERT INTO watched_area (name, centre, radius_m, days, from_minute, to_minute, low_hz, "
      "high_hz, set_by) VALUES ('harbour', ST_MakePoint(-150.28, 41.28)::geography, 2000, 127, 0, "
      "0, 0, 1e12, 'mara')");
  std::ostringstream out, err;
  const int exit_code = tools::run_alert_try(
      {database.writer(), config_, "2031-05-04T00:00:00Z", "2031-05-05T00:00:00Z"}, out, err);
  EXPECT_EQ(exit_code, 0) << err.str();
  EXPECT_THAT(out.str(), HasSubstr("watched_activity"));
  EXPECT_THAT(out.str(), HasSubstr("1 alerts would have been raised by 480 bearings"));
}

/// A mast that the first station alone hears, which indicates 5 degrees too much.
class HeardByOneTest : public RecomputeTest {
 protected:
  HeardByOneTest()
      : RecomputeTest({scenario::Source{.position = kMast,
                                        .on = {{0.0, 10.0}, {300.0, 310.0}, {600.0, 610.0}},
                                        .deaf = {2, 3, 4}}}) {}
};

TEST_F(HeardByOneTest, TheLineTurnsAndTheOldOneIsKept) {
  const std::string azimuth = "SELECT round(azimuth_deg) FROM ";
  const double was_deg = std::stod(ask(azimuth + "bearing_only").at(0));
  const Told told = recompute();
  ASSERT_EQ(told.exit_code, 0) << told.err;
  EXPECT_EQ(std::stod(ask(azimuth + "bearing_only").at(0)), was_deg - 5.0);
  EXPECT_EQ(std::stod(ask(azimuth + "bearing_only_before").at(0)), was_deg);
}

/// What is stored was born in another transmission than a playback says.
class BornElsewhereTest : public RecomputeTest {
 protected:
  BornElsewhereTest()
      : RecomputeTest({mast_at(kMast)}, [](const auto& keys) {
          return Identities{{keys.at(0), {keys.at(0).channel, keys.at(0).id - 1000}}};
        }) {}
};

TEST_F(BornElsewhereTest, AnEmitterIsKnownByItsBearings) {
  const auto before = ask("SELECT channel_id, emitter_id FROM emitter WHERE state = 'confirmed'");
  ASSERT_EQ(before.size(), 1U);
  const Told told = recompute();
  ASSERT_EQ(told.exit_code, 0) << told.err;
  EXPECT_EQ(ask("SELECT channel_id, emitter_id FROM emitter WHERE state = 'confirmed'"), before);
  EXPECT_THAT(told.out, HasSubstr("0 of them not found again, 0 new"));
  EXPECT_THAT(broken_rules(), IsEmpty());
}

/// Two masts on one channel, one after the other, and stored with each other's identity.
class TwinsTest : public RecomputeTest {
 protected:
  TwinsTest()
      : RecomputeTest({mast_at(kMast), mast_at(kOtherMast, 100.0)}, [](const auto& keys) {
          return Identities{{keys.at(0), keys.at(1)}, {keys.at(1), keys.at(0)}};
        }) {}
};

TEST_F(TwinsTest, EachKeepsItsOwnIdentity) {
  const std::string whose =
      "SELECT emitter_id FROM emitter WHERE state = 'confirmed' ORDER BY "
      "ST_Distance(position, ST_MakePoint(-150.28, 41.28)::geography)";
  const auto before = ask(whose);
  ASSERT_EQ(before.size(), 2U);
  const Told told = recompute();
  ASSERT_EQ(told.exit_code, 0) << told.err;
  EXPECT_EQ(ask(whose), before);
  EXPECT_THAT(told.out, HasSubstr("emitters: 2 before; 0 of them not found again, 0 new"));
  EXPECT_THAT(broken_rules(), IsEmpty());
}

}  // namespace
}  // namespace fixwright::test
