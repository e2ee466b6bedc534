/// Arrival plays no part in what is final; waiting has an end; what was wrong is withdrawn.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <bit>

#include "tests/support/scenario/feed.hpp"
#include "tests/support/scenario/map.hpp"

namespace fixwright::scenario {
namespace {

constexpr auto kIsland = R"(
  A . . . . . B
  . . 1 . . . .
  . . . . . . .
  . . . . 2 . .
  D . . . . . C
)";

std::vector<Bearing> busy_hour(const Map& map, std::uint64_t seed) {
  std::vector<Source> sources{
      {.position = map.emitters.at('1'), .channel = 1, .on = {{0.0, 30.0}, {90.0, 140.0}}},
      {.position = map.emitters.at('2'), .channel = 1, .on = {{20.0, 60.0}, {120.0, 180.0}}},
      {.position = map.emitters.at('2'), .channel = 2, .on = {{0.0, 170.0}}, .east_m_per_s = 15.0},
  };
  return simulate(map.stations, sources, {.seed = seed, .clutter = 0.03});
}

/// Bits, so that not even the sign of a zero may differ.
std::vector<std::uint64_t> bits_of(const CrossFix& f) {
  return {std::bit_cast<std::uint64_t>(f.position.latitude_deg),
          std::bit_cast<std::uint64_t>(f.position.longitude_deg),
          std::bit_cast<std::uint64_t>(f.covariance.ee_m2),
          std::bit_cast<std::uint64_t>(f.covariance.en_m2),
          std::bit_cast<std::uint64_t>(f.covariance.nn_m2),
          std::bit_cast<std::uint64_t>(f.chi_square),
          static_cast<std::uint64_t>(f.refusal),
          static_cast<std::uint64_t>(f.grade)};
}

void expect_same_fixes(const Tables& a, const Tables& b) {
  const auto finals = a.fixes_in(ResultState::final);
  const auto others = b.fixes_in(ResultState::final);
  ASSERT_EQ(finals.size(), others.size());
  for (std::size_t i = 0; i < finals.size(); ++i) {
    ASSERT_EQ(finals[i].key, others[i].key);
    EXPECT_EQ(finals[i].emitter, others[i].emitter);
    EXPECT_EQ(finals[i].bearings, others[i].bearings);
    EXPECT_EQ(bits_of(finals[i].solution), bits_of(others[i].solution));
  }
}

std::vector<Emitter> living(const Tables& t) {
  std::vector<Emitter> found;
  for (const auto& [key, e] : t.emitters) {
    if (e.state != EmitterState::retired) found.push_back(e);
  }
  return found;
}

void expect_same_emitters(const Tables& a, const Tables& b) {
  const auto mine = living(a);
  const auto others = living(b);
  ASSERT_EQ(mine.size(), others.size());
  for (std::size_t i = 0; i < mine.size(); ++i) {
    ASSERT_EQ(mine[i].key, others[i].key);
    EXPECT_EQ(mine[i].state, others[i].state);
    EXPECT_EQ(mine[i].motion, others[i].motion);
    EXPECT_EQ(mine[i].bearings, others[i].bearings);
    EXPECT_EQ(mine[i].looks, others[i].looks);
    EXPECT_EQ(bits_of(mine[i].fix), bits_of(others[i].fix));
  }
}

TEST(EventTime, ShuffledWithinTheLatenessBearingsGiveTheSameFinalResultsBitForBit) {
  const Map map = draw(kIsland, 6.0);
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    SCOPED_TRACE(seed);
    const auto bearings = busy_hour(map, seed);
    const Tables in_order = run({}, map.stations, arrivals(bearings, 0.1, 0.0, 1), {.step_s = 1.0});
    // Heartbeats claim to be 0.5 s behind, 2 s of slack, 60 s of lateness: up to 55 s late is in.
    const Tables shuffled =
        run({}, map.stations, arrivals(bearings, 0.1, 55.0, seed + 100), {.step_s = 2.0});
    EXPECT_TRUE(in_order.late.empty());
    EXPECT_TRUE(shuffled.late.empty());
    EXPECT_GT(in_order.fixes_in(ResultState::final).size(), 40U);
    expect_same_fixes(in_order, shuffled);
    expect_same_emitters(in_order, shuffled);
  }
}

TEST(EventTime, NothingIsLeftUnsettledAtTheEnd) {
  const Map map = draw(kIsland, 6.0);
  const Tables tables = run({}, map.stations, arrivals(busy_hour(map, 3), 0.1, 40.0, 5));
  for (const auto& [key, t] : tables.transmissions) {
    EXPECT_TRUE(t.state == ResultState::final || t.state == ResultState::withdrawn);
  }
  for (const auto& [key, f] : tables.fixes) {
    EXPECT_TRUE(f.state == ResultState::final || f.state == ResultState::withdrawn);
  }
}

TEST(EventTime, LateBearingsThatCutAnewLeaveTombstones) {
  const Map map = draw(kIsland, 6.0);
  const Source source{.position = map.emitters.at('1'), .on = {{0.0, 20.0}}};
  const auto bearings = simulate(map.stations, {source}, {.detection = 1.0});
  auto arriving = arrivals(bearings, 0.3, 0.0, 1);
  // The first second of all comes 30 s late: every cut after it moves.
  for (Arrival& a : arriving) {
    if (a.bearing.start < scenario_start() + std::chrono::seconds{1}) {
      a.at += std::chrono::seconds{30};
    }
  }
  std::stable_sort(arriving.begin(), arriving.end(),
                   [](const Arrival& a, const Arrival& b) { return a.at < b.at; });
  const Tables tables = run({}, map.stations, arriving);
  EXPECT_GT(tables.fixes_in(ResultState::withdrawn).size(), 0U);
  expect_same_fixes(tables, run(map.stations, bearings));
  // The emitter that the wrong cut gave birth to was shown; it is retired, not left standing.
  EXPECT_EQ(tables.in_state(EmitterState::retired).size(), 1U);
  EXPECT_EQ(tables.in_state(EmitterState::confirmed).size(), 1U);
}

TEST(EventTime, BearingsPastTheLatenessAreHandedOutAndUsedForNothing) {
  const Map map = draw(kIsland, 6.0);
  const Source source{.position = map.emitters.at('1'), .on = {{0.0, 200.0}}};
  const auto bearings = simulate(map.stations, {source}, {});
  auto arriving = arrivals(bearings, 0.3, 0.0, 1);
  std::size_t delayed = 0;
  for (Arrival& a : arriving) {
    if (a.bearing.key.station != 3 || a.bearing.start > scenario_start() + std::chrono::seconds{20})
      continue;
    a.at += std::chrono::seconds{120};
    delayed += 1;
  }
  std::stable_sort(arriving.begin(), arriving.end(),
                   [](const Arrival& a, const Arrival& b) { return a.at < b.at; });
  const Tables tables = run({}, map.stations, arriving);
  ASSERT_GT(delayed, 10U);
  EXPECT_EQ(tables.late.size(), delayed);
  std::size_t in_fixes = 0;
  for (const Fix& f : tables.fixes_in(ResultState::final)) in_fixes += f.bearings.size();
  EXPECT_EQ(in_fixes, bearings.size() - delayed);
}

TEST(EventTime, AStationThatFallsSilentHoldsNobodyForLong) {
  const Map map = draw(kIsland, 6.0);
  const Source source{.position = map.emitters.at('1'), .on = {{0.0, 60.0}}, .deaf = {2}};
  app::Pipeline pipeline({}, map.stations);
  const TimePoint start = scenario_start();
  for (const auto& [id, station] : map.stations) {
    pipeline.heartbeat({id, start, start, {}, ClockState::synchronised});
  }
  FeedRules rules;
  rules.mute = {2};  // said one word, then neither bearing nor heartbeat
  TimePoint watermark_at_9s;
  TimePoint watermark_at_15s;
  const auto arriving = arrivals(simulate(map.stations, {source}, {}), 0.3, 0.0, 1);
  feed(pipeline, map.stations, arriving, rules, [&](TimePoint now, const auto& output) {
    if (now <= start + std::chrono::seconds{9}) watermark_at_9s = output.watermark;
    if (now <= start + std::chrono::seconds{15}) watermark_at_15s = output.watermark;
  });
  EXPECT_LT(watermark_at_9s, start);
  EXPECT_GT(watermark_at_15s, start + std::chrono::seconds{10});
}

TEST(EventTime, AFixIsThereWithTheSecondBearingAndConfirmedWithinTenSeconds) {
  Map map = draw(kIsland, 6.0);
  map.stations.erase(4);
  const Source source{.position = map.emitters.at('1'), .on = {{0.0, 30.0}}};
  const auto bearings = simulate(map.stations, {source}, {.detection = 1.0});
  app::Pipeline pipeline({}, map.stations);
  pipeline.bearing(bearings[0]);
  EXPECT_THAT(pipeline.take().fixes,
              testing::ElementsAre(testing::Field(
                  &Fix::solution, testing::Field(&CrossFix::refusal, Refusal::one_station))));
  pipeline.bearing(bearings[1]);
  const auto second = pipeline.take();
  ASSERT_EQ(second.fixes.size(), 1U);
  EXPECT_TRUE(second.fixes.front().solution.accepted());
  EXPECT_EQ(second.fixes.front().state, ResultState::provisional);

  std::optional<TimePoint> confirmed_at;
  app::Pipeline live({}, map.stations);
  feed(live, map.stations, arrivals(bearings, 0.3, 0.0, 1), {},
       [&](TimePoint now, const auto& out) {
         for (const Emitter& e : out.emitters) {
           if (e.state == EmitterState::confirmed && !confirmed_at) confirmed_at = now;
         }
       });
  ASSERT_TRUE(confirmed_at.has_value());
  EXPECT_LT(*confirmed_at, bearings.front().start + std::chrono::seconds{10});
}

}  // namespace
}  // namespace fixwright::scenario
