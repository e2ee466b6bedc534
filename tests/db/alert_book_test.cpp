/// Alerts come back with their evidence; what people set for them is checked, kept and noticed.

#include "server/store/alert_book.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <condition_variable>
#include <mutex>
#include <sstream>

#include "server/app/alert_settings_watch.hpp"
#include "server/app/host_watch.hpp"
#include "server/store/database_state.hpp"
#include "server/store/reader.hpp"
#include "server/store/result_writer.hpp"
#include "server/tools/alert_command.hpp"
#include "server/tools/alert_settings_command.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using std::chrono::hours;
using std::chrono::minutes;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

const TimePoint noon = *parse_rfc3339("2021-05-04T12:00:00Z");  // long ago, by any clock

Alert with_evidence() {
  Alert a;
  a.id = "new_unregistered_emitter/12/5";
  a.rule = "new_unregistered_emitter";
  a.severity = AlertSeverity::warning;
  a.raised_at = noon;
  a.emitter = EmitterKey{12, 5};
  a.message = "emitter 12/5: not found in the register";
  a.evidence = {{1, 2, 4},
                GeoPoint{41.25, -150.5},
                ErrorEllipse{900.0, 300.0, 30.0, 0.95},
                0.97,
                "an entry of the register there"};
  return a;
}

WatchedArea harbour() {
  WatchedArea a;
  a.name = "harbour";
  a.centre = {41.25, -150.5};
  a.radius_m = 2000.0;
  a.hours = {1U << 5, 22 * 60, 6 * 60};
  a.low_hz = 100e6;
  a.high_hz = 200e6;
  a.by = "ana";
  return a;
}

class AlertBookTest : public testing::Test {
 protected:
  void write(std::vector<Alert> alerts) {
    store::ResultBatch batch;
    batch.alerts = std::move(alerts);
    store::ResultWriter(pool).write(batch);
  }

  ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
  store::AlertBook book{pool};
  std::ostringstream out;
  std::ostringstream err;
};

TEST_F(AlertBookTest, AnAlertComesBackWithItsEvidence) {
  Alert a = with_evidence();
  a.ended_at = noon + minutes{5};
  a.muted = true;
  write({a});
  const auto back = book.alert(a.id);
  ASSERT_TRUE(back);
  EXPECT_EQ(back->alert.evidence, a.evidence);
  EXPECT_EQ(back->alert.ended_at, a.ended_at);
  EXPECT_TRUE(back->alert.muted);
  EXPECT_EQ(book.alert("no such alert"), std::nullopt);
}

TEST_F(AlertBookTest, ItsRegionIsALayer) {
  write({with_evidence()});
  EXPECT_THAT(rows(database.reader(),
                   "SELECT round(ST_Area(region::geography) / (pi() * 900 * 300) * 1000) "
                   "FROM alert_region"),
              ElementsAre("999"));  // 72 corners on the ellipse: 0.13 % less than its area
}

TEST_F(AlertBookTest, WhatLastsIsFoundAcknowledgedOrNot) {
  Alert ended = with_evidence();
  ended.id = "ended";
  ended.ended_at = noon;
  Alert seen = with_evidence();
  seen.id = "seen";
  write({ended, seen, with_evidence()});
  store::ResultWriter(pool).acknowledge_alert("seen", noon, "ana");
  std::vector<std::string> ids;
  for (const auto& view : store::Reader(pool).lasting_alerts()) ids.push_back(view.alert.id);
  EXPECT_THAT(ids, ElementsAre("new_unregistered_emitter/12/5", "seen"));
}

TEST_F(AlertBookTest, WhatPeopleSetComesBackAsItWasSet) {
  const AlertRule rule{false, AlertSeverity::urgent, minutes{3}};
  ASSERT_TRUE(book.set_rule(AlertKind::clock_bad, rule, "ana"));
  ASSERT_TRUE(book.set_area(harbour()));
  AlertMute mute;
  mute.kind = AlertKind::station_silent;
  mute.station = 3;
  mute.until = *parse_rfc3339("2200-01-01T00:00:00Z");
  mute.by = "ana";
  mute.note = "the mast is being painted";
  const auto id = book.mute(mute);
  ASSERT_TRUE(id);
  mute.id = *id;
  const AlertSettings settings = book.settings();
  EXPECT_EQ(settings.rules, (std::map<AlertKind, AlertRule>{{AlertKind::clock_bad, rule}}));
  EXPECT_THAT(settings.areas, ElementsAre(harbour()));
  EXPECT_THAT(settings.mutes, ElementsAre(mute));
  EXPECT_TRUE(book.unmute(*id, "ben"));
  EXPECT_FALSE(book.unmute(*id, "ben"));
  EXPECT_TRUE(book.clear_rule(AlertKind::clock_bad));
  EXPECT_FALSE(book.clear_rule(AlertKind::clock_bad));
  EXPECT_TRUE(book.remove_area("harbour"));
  EXPECT_FALSE(book.remove_area("harbour"));
  EXPECT_EQ(book.settings(), AlertSettings{});
}

TEST_F(AlertBookTest, AMuteThatIsOverIsNoMore) {
  AlertMute mute;
  mute.kind = AlertKind::station_silent;
  mute.until = *parse_rfc3339("2001-01-01T00:00:00Z");
  mute.by = "ana";
  ASSERT_TRUE(book.mute(mute));
  EXPECT_THAT(book.settings().mutes, IsEmpty());
}

TEST_F(AlertBookTest, WhatCanNotBeIsRefusedInOneLine) {
  WatchedArea area = harbour();
  area.name = "a/b";
  EXPECT_EQ(book.set_area(area).error(), "name = \"a/b\": must have no '/'; nothing was changed");
  area = harbour();
  area.radius_m = 2e6;
  EXPECT_EQ(book.set_area(area).error(),
            "radius_m = 2e+06: must be 1 to 1e+06; nothing was changed");
  area = harbour();
  area.hours.days = 0;
  EXPECT_THAT(book.set_area(area).error(), HasSubstr("must name one day at least"));
  area = harbour();
  area.high_hz = area.low_hz;
  EXPECT_THAT(book.set_area(area).error(), HasSubstr("must rise from 0 or more"));
  AlertMute all;
  all.by = "ana";
  EXPECT_THAT(book.mute(all).error(), HasSubstr("a mute of everything"));
  EXPECT_THAT(book.set_rule(AlertKind::disk_low, {}, "").error(), HasSubstr("by = \"\""));
  EXPECT_EQ(book.settings(), AlertSettings{});
}

TEST_F(AlertBookTest, ThePeoplesCommandsSayWhatTheyDid) {
  write({with_evidence()});
  tools::AlertNameOptions name{database.writer(), with_evidence().id, "ana"};
  EXPECT_EQ(tools::run_alert_show(name, out, err), 0);
  EXPECT_THAT(out.str(), HasSubstr("posterior     0.970\n"));
  EXPECT_THAT(out.str(), HasSubstr("would change  an entry of the register there\n"));
  EXPECT_THAT(out.str(), HasSubstr("An ellipse is evidence, never proof of who transmits.\n"));
  EXPECT_EQ(tools::run_alert_acknowledge(name, out, err), 0);
  EXPECT_EQ(tools::run_alert_acknowledge(name, out, err), 1);
  EXPECT_THAT(err.str(), HasSubstr("was acknowledged already, by ana"));
  out.str("");
  EXPECT_EQ(tools::run_alert_list({database.writer(), "", false}, out, err), 0);
  EXPECT_THAT(out.str(), testing::Not(HasSubstr("12/5")));
  EXPECT_EQ(tools::run_alert_list({database.writer(), "", true}, out, err), 0);
  EXPECT_THAT(out.str(), HasSubstr("goes on, seen by ana"));
}

TEST_F(AlertBookTest, SettingsAreGivenAsPeopleSayThem) {
  tools::AlertAreaOptions area;
  area.database = database.writer();
  area.name = "harbour";
  area.at = {41.25, -150.5};
  area.days = {"sat", "sun"};
  area.from = "22:30";
  area.to = "6:00";
  area.by = "ana";
  EXPECT_EQ(tools::run_alert_area(area, out, err), 0) << err.str();
  area.from = "25:00";
  EXPECT_EQ(tools::run_alert_area(area, out, err), 2);
  EXPECT_EQ(err.str(), "--from = \"25:00\": must be an hour such as 22:30, UTC\n");
  tools::AlertMuteOptions mute;
  mute.database = database.writer();
  mute.rule = "station_asleep";
  mute.hours = 1.0;
  mute.by = "ana";
  EXPECT_EQ(tools::run_alert_mute(mute, out, err), 2);
  EXPECT_THAT(err.str(), HasSubstr("rule = \"station_asleep\": must be one of new_unregistered"));
  out.str("");
  EXPECT_EQ(tools::run_alert_settings({database.writer()}, out, err), 0);
  EXPECT_THAT(out.str(), HasSubstr("sat,sun 22:30 to 06:00 UTC, by ana"));
}

TEST_F(AlertBookTest, ARunningServerNoticesWhatIsSet) {
  std::mutex mutex;
  std::condition_variable changed;
  std::vector<AlertSettings> told;
  const app::AlertSettingsWatch watch(pool, {}, [&](AlertSettings s) {
    const std::lock_guard lock(mutex);
    told.push_back(std::move(s));
    changed.notify_all();
  });
  ASSERT_TRUE(book.set_area(harbour()));
  std::unique_lock lock(mutex);
  ASSERT_TRUE(changed.wait_for(lock, std::chrono::seconds{20}, [&] { return !told.empty(); }));
  EXPECT_THAT(told.front().areas, ElementsAre(harbour()));
}

TEST_F(AlertBookTest, TheDatabaseAndADiskSayHowMuchRoomTheyHave) {
  const DatabaseState state = store::measure_database(pool);
  EXPECT_GT(state.size_bytes, 1'000'000U);  // an empty database has its catalogue
  EXPECT_GE(state.connections, 1);
  EXPECT_LT(state.connections, state.most_connections);
  const auto disk = app::measure_disk("/");
  ASSERT_TRUE(disk);
  EXPECT_GT(disk->total_bytes, disk->free_bytes);
  EXPECT_EQ(app::measure_disk("/no/such/place"), std::nullopt);
}

}  // namespace
}  // namespace fixwright::test
