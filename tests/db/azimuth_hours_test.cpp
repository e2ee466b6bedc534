/// How stations saw still emitters, hour by hour, from stored fixes; and the watch over them.

#include "server/store/azimuth_hours.hpp"

#include <fmt/core.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <condition_variable>
#include <mutex>

#include "server/app/drift_watch.hpp"
#include "tests/db/questions.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using std::chrono::hours;

const TimePoint day = *parse_rfc3339("2031-05-04T00:00:00Z");

/// Four emitters more, each heard by three stations every hour of the day, at its azimuth; station
/// 2 sees all of them 5 degrees off from 14:00 on. Rows are copies of the seed's with other values.
constexpr auto kDay = R"(
CREATE TEMP TABLE place AS
    SELECT 900 + i AS channel_id, 100 + i AS emitter_id,
           ST_Project('POINT(-150.3 41.2)'::geography, 8000, radians(90 * i)) AS position
    FROM generate_series(1, 4) AS i;
INSERT INTO emitter SELECT (jsonb_populate_record(e, to_jsonb(p))).*
    FROM emitter AS e CROSS JOIN place AS p WHERE e.channel_id = 12 AND e.emitter_id = 1;
CREATE TEMP TABLE heard AS
    SELECT channel_id, emitter_id, position, '2031-05-04 00:10Z'::timestamptz + h * interval '1 hour'
           AS start_at, (extract(epoch FROM '2031-05-04 00:10Z'::timestamptz) * 1e9)::bigint
           + h * 3600000000000 AS transmission_id, h
    FROM place CROSS JOIN generate_series(0, 23) AS h;
INSERT INTO transmission SELECT (jsonb_populate_record(t, jsonb_build_object(
        'channel_id', h.channel_id, 'transmission_id', h.transmission_id, 'start_at', h.start_at,
        'end_at', h.start_at + interval '1 minute'))).*
    FROM transmission AS t CROSS JOIN heard AS h
    WHERE t.channel_id = 12 AND t.start_at = '2031-05-04 09:00Z';
INSERT INTO fix SELECT (jsonb_populate_record(f, jsonb_build_object(
        'channel_id', h.channel_id, 'transmission_id', h.transmission_id, 'valid_at', h.start_at,
        'emitter_id', h.emitter_id))).*
    FROM fix AS f CROSS JOIN heard AS h
    WHERE f.channel_id = 12 AND f.valid_at = '2031-05-04 09:00Z';
INSERT INTO bearing SELECT (jsonb_populate_record(b, jsonb_build_object(
        'channel_id', h.channel_id, 'start_at', h.start_at, 'station_id', s.station_id,
        'stream_id', 90, 'sequence', h.h * 10 + h.emitter_id - 100, 'azimuth_deg',
        degrees(ST_Azimuth(s.position, h.position))
        + CASE WHEN s.station_id = 2 AND h.h >= 14 THEN 5 ELSE 0 END))).*
    FROM bearing AS b CROSS JOIN heard AS h CROSS JOIN station AS s
    WHERE b.channel_id = 12 AND b.start_at = '2031-05-04 09:00Z' AND s.station_id <= 3;
INSERT INTO fix_bearing SELECT (jsonb_populate_record(p, jsonb_build_object(
        'channel_id', h.channel_id, 'transmission_id', h.transmission_id,
        'station_id', s, 'stream_id', 90, 'sequence', h.h * 10 + h.emitter_id - 100))).*
    FROM fix_bearing AS p JOIN bearing AS b USING (channel_id, station_id, stream_id, sequence)
    CROSS JOIN heard AS h CROSS JOIN generate_series(1, 3) AS s
    WHERE b.channel_id = 12 AND b.start_at = '2031-05-04 09:00Z';
)";

class AzimuthHoursTest : public testing::Test {
 protected:
  AzimuthHoursTest() { rows(database.owner(), text_of("tests/db/questions_seed.sql")); }

  const ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
};

TEST_F(AzimuthHoursTest, EachStationsHourOfAStillEmitterIsOneValue) {
  std::vector<std::string> found;
  for (const AzimuthHour& h : store::azimuth_hours(pool, day, day + hours{24})) {
    found.push_back(fmt::format("{} {} {}/{} {:.1f}", format_rfc3339(h.hour, 0), h.station,
                                h.emitter.channel, h.emitter.id, h.azimuth_deg));
  }
  // Station 1 at 11: 153.8 and, set aside, 20.0; the median of two is their middle.
  EXPECT_THAT(found, testing::ElementsAre(
                         "2031-05-04T09:00:00Z 1 12/1 153.5", "2031-05-04T09:00:00Z 2 12/1 239.4",
                         "2031-05-04T09:00:00Z 3 12/1 323.0", "2031-05-04T11:00:00Z 1 12/1 86.9",
                         "2031-05-04T11:00:00Z 2 12/1 239.1", "2031-05-04T11:00:00Z 3 12/1 323.2"));
  EXPECT_TRUE(store::azimuth_hours(pool, day + hours{12}, day + hours{24}).empty());
}

TEST_F(AzimuthHoursTest, AStationThatTurnedIsToldOfAndTheOthersAreFine) {
  rows(database.owner(), kDay);
  std::mutex mutex;
  std::condition_variable changed;
  std::map<StationId, CalibrationDrift> told;
  app::DriftWatchRules rules;
  rules.chart.baseline_hours = 6;
  const ManualClock clock(day + hours{26});
  const app::DriftWatch watch(rules, pool, clock, [&](CalibrationDrift d) {
    const std::lock_guard lock(mutex);
    told[d.station] = std::move(d);
    changed.notify_all();
  });
  std::unique_lock lock(mutex);
  ASSERT_TRUE(changed.wait_for(lock, std::chrono::seconds{20}, [&] { return told.size() == 3; }));
  EXPECT_FALSE(told[1].drifted) << told[1].evidence;
  EXPECT_FALSE(told[3].drifted) << told[3].evidence;
  ASSERT_TRUE(told[2].drifted) << told[2].evidence;
  EXPECT_NEAR(told[2].residual_deg, 5.0, 0.01);  // the bearings have no noise
}

}  // namespace
}  // namespace fixwright::test
