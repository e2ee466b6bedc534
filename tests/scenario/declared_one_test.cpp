/// A person declares two emitters one, and takes it back: the pipeline shows it, and nothing that
/// was computed is lost by it.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

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

class DeclaredOne : public testing::Test {
 protected:
  void play(double until_s) {
    std::vector<Arrival> due;
    for (;
         next_ < arriving_.size() && arriving_[next_].at < scenario_start() + from_seconds(until_s);
         ++next_) {
      due.push_back(arriving_[next_]);
    }
    feed(pipeline, map.stations, due, {.step_s = 1.0},
         [&](TimePoint, const app::PipelineOutput& out) { tables.take(out); });
  }
  void declare(const Redirects& redirects) {
    pipeline.redirect(redirects);
    tables.take(pipeline.take());
  }

  const Map map = draw(kIsland, 6.0);
  const std::vector<Source> sources{
      {.position = map.emitters.at('1'), .channel = 1, .on = {{0.0, 60.0}}},
      {.position = map.emitters.at('2'), .channel = 1, .on = {{100.0, 160.0}, {300.0, 400.0}}},
  };
  const std::vector<Arrival> arriving_ =
      arrivals(simulate(map.stations, sources, {.seed = 4}), 0.1, 0.0, 1);
  std::size_t next_ = 0;
  app::Pipeline pipeline{{}, map.stations};
  Tables tables;
};

TEST_F(DeclaredOne, TheOlderCarriesOnAtTheLastPlaceAndASplitGivesBothBack) {
  play(250.0);
  const auto before = tables.in_state(EmitterState::confirmed);
  ASSERT_EQ(before.size(), 2U);
  const EmitterKey older = before[0].key;
  const EmitterKey younger = before[1].key;

  declare({{younger, older}});
  EXPECT_EQ(tables.emitters.at(younger).state, EmitterState::retired);
  EXPECT_EQ(tables.emitters.at(older).bearings, before[0].bearings + before[1].bearings);

  play(500.0);  // both places: the better known of those heard within ten minutes says where
  EXPECT_EQ(tables.in_state(EmitterState::confirmed).size(), 1U);
  EXPECT_GT(tables.emitters.at(older).bearings, before[0].bearings + before[1].bearings);
  EXPECT_EQ(tables.emitters.at(older).fix.position, tables.emitters.at(younger).fix.position);

  declare({});
  EXPECT_EQ(tables.emitters.at(older).bearings, before[0].bearings);
  EXPECT_EQ(tables.emitters.at(older).fix.position, before[0].fix.position);
  EXPECT_EQ(tables.emitters.at(younger).state, EmitterState::confirmed);
  EXPECT_GT(tables.emitters.at(younger).bearings, before[1].bearings);
}

TEST_F(DeclaredOne, ARestartShowsTheSameAsBefore) {
  play(250.0);
  const auto found = tables.in_state(EmitterState::confirmed);
  ASSERT_EQ(found.size(), 2U);
  const Redirects redirects{{found[1].key, found[0].key}};
  declare(redirects);
  app::Pipeline again({}, map.stations);
  again.redirect(redirects);
  Tables made_anew;
  std::vector<Arrival> same(arriving_.begin(),
                            arriving_.begin() + static_cast<std::ptrdiff_t>(next_));
  feed(again, map.stations, same, {.step_s = 1.0},
       [&](TimePoint, const app::PipelineOutput& out) { made_anew.take(out); });
  for (const Emitter& e : found) {
    EXPECT_EQ(made_anew.emitters.at(e.key).state, tables.emitters.at(e.key).state);
    EXPECT_EQ(made_anew.emitters.at(e.key).bearings, tables.emitters.at(e.key).bearings);
    EXPECT_EQ(made_anew.emitters.at(e.key).fix.position, tables.emitters.at(e.key).fix.position);
  }
}

}  // namespace
}  // namespace fixwright::scenario
