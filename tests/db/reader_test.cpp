#include "server/store/reader.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/store/bearing_store.hpp"
#include "server/store/decision_book.hpp"
#include "server/store/result_writer.hpp"
#include "server/store/small_tables.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;

class ReaderTest : public testing::Test {
 protected:
  ReaderTest() { store::register_stations(pool, osmere_stations()); }

  void write(std::vector<Emitter> emitters) {
    store::ResultBatch batch;
    batch.emitters = std::move(emitters);
    store::ResultWriter(pool).write(batch);
  }
  std::vector<EmitterKey> keys(const EmitterFilter& filter) {
    std::vector<EmitterKey> found;
    for (const EmitterView& view : reader.emitters(filter)) found.push_back(view.emitter.key);
    return found;
  }

  ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
  store::Reader reader{pool};
  const TimePoint noon = at("2031-05-04T12:00:00.123456789Z");
};

void expect_same(const CrossFix& a, const CrossFix& b) {
  EXPECT_EQ(a.refusal, b.refusal);
  EXPECT_EQ(a.grade, b.grade);
  EXPECT_EQ(a.position, b.position);
  EXPECT_EQ(a.covariance, b.covariance);
  EXPECT_EQ(a.ellipse, b.ellipse);
  EXPECT_EQ(a.region_kind, b.region_kind);
  EXPECT_EQ(a.region, b.region);
  EXPECT_EQ(a.region_open, b.region_open);
  EXPECT_EQ(a.chi_square, b.chi_square);
  EXPECT_EQ(a.degrees_of_freedom, b.degrees_of_freedom);
  EXPECT_EQ(a.p_value, b.p_value);
  EXPECT_EQ(a.crossing_deg, b.crossing_deg);
}

TEST_F(ReaderTest, MovingEmitterComesBackWithItsRegionVerdictAndName) {
  Emitter e = sample_emitter(12, -5);
  e.motion = Motion::moving;
  e.velocity = {{12.25, 359.9, 0.75}};
  e.revision = 4'000'000'000U;
  e.fix.region_kind = RegionKind::likelihood;
  e.fix.region_open = true;
  e.fix.region = {{41.1, -150.4}, {41.1, -150.20000000000002}, {41.3, -150.3}, {41.1, -150.4}};
  store::ResultBatch batch;
  batch.emitters = {e};
  batch.matches = {
      {e.key, RegisterVerdict::off_frequency, 0.9, "OSM-7", 81.5, -5400.25, "beside its band"}};
  store::ResultWriter(pool).write(batch);
  EmitterDecision rename;
  rename.by = "mara";
  rename.kind = DecisionKind::rename;
  rename.emitter = e.key;
  rename.name = "harbour 'mast'";
  ASSERT_TRUE(store::DecisionBook(pool).decide(rename));

  const auto view = reader.emitter(e.key);
  ASSERT_TRUE(view);
  const Emitter& got = view->emitter;
  EXPECT_EQ(got.key, e.key);
  EXPECT_EQ(got.revision, e.revision);
  EXPECT_EQ(got.state, e.state);
  EXPECT_EQ(got.motion, e.motion);
  expect_same(got.fix, e.fix);
  ASSERT_TRUE(got.velocity);
  EXPECT_EQ(got.velocity->speed_m_per_s, 12.25);
  EXPECT_EQ(got.velocity->course_deg, 359.9);
  EXPECT_EQ(got.velocity->speed_sigma_m_per_s, 0.75);
  EXPECT_EQ(got.valid_at, e.valid_at);
  EXPECT_EQ(got.frequency_hz, e.frequency_hz);
  EXPECT_EQ(got.first_heard, e.first_heard);
  EXPECT_EQ(got.last_heard, e.last_heard);
  EXPECT_EQ(got.bearings, e.bearings);
  EXPECT_EQ(got.looks, e.looks);
  EXPECT_EQ(got.stations, e.stations);
  ASSERT_TRUE(view->match);
  EXPECT_EQ(view->match->verdict, RegisterVerdict::off_frequency);
  EXPECT_EQ(view->match->licence, "OSM-7");
  EXPECT_EQ(view->match->distance_m, 81.5);
  EXPECT_EQ(view->match->frequency_offset_hz, -5400.25);
  EXPECT_EQ(view->match->evidence, "beside its band");
  EXPECT_EQ(view->name, "harbour 'mast'");
}

TEST_F(ReaderTest, EmitterWithoutAPlaceVerdictOrNameComesBackWithout) {
  Emitter e = sample_emitter(12, 6);
  e.fix = refused_solution(Refusal::one_station);
  e.stations = {};
  write({e});
  const auto view = reader.emitter(e.key);
  ASSERT_TRUE(view);
  expect_same(view->emitter.fix, e.fix);
  EXPECT_THAT(view->emitter.stations, IsEmpty());
  EXPECT_FALSE(view->emitter.velocity);
  EXPECT_FALSE(view->match);
  EXPECT_FALSE(view->name);
}

TEST_F(ReaderTest, UnknownEmitterIsNone) {
  EXPECT_FALSE(reader.emitter({12, 404}));
  EXPECT_THAT(reader.fixes({12, 404}, 10), IsEmpty());
}

TEST_F(ReaderTest, FilterLeavesOutRetiredUnlessAsked) {
  Emitter retired = sample_emitter(12, 1);
  retired.state = EmitterState::retired;
  Emitter silent = sample_emitter(12, 2);
  silent.state = EmitterState::silent;
  write({retired, silent});
  EXPECT_THAT(keys({}), ElementsAre(silent.key));
  EmitterFilter asked;
  asked.states = {EmitterState::retired, EmitterState::tentative};
  EXPECT_THAT(keys(asked), ElementsAre(retired.key));
}

TEST_F(ReaderTest, FilterByFrequencyAndTimeTakesItsLimits) {
  Emitter low = sample_emitter(12, 1);
  low.frequency_hz = 100e6;
  Emitter high = sample_emitter(13, 1);
  high.frequency_hz = 200e6;
  high.last_heard = low.last_heard + std::chrono::seconds(10);
  write({low, high});
  EmitterFilter filter;
  filter.min_frequency_hz = 200e6;
  EXPECT_THAT(keys(filter), ElementsAre(high.key));
  filter = {};
  filter.max_frequency_hz = 100e6;
  EXPECT_THAT(keys(filter), ElementsAre(low.key));
  filter = {};
  filter.heard_since = high.last_heard;
  EXPECT_THAT(keys(filter), ElementsAre(high.key));
}

TEST_F(ReaderTest, PagesShowEachEmitterOnceNewestFirst) {
  std::vector<Emitter> emitters;
  for (int i = 0; i < 7; ++i) {
    emitters.push_back(sample_emitter(12 + i % 2, i));
    emitters.back().last_heard += std::chrono::seconds(i / 3);  // three share a time
  }
  write(emitters);
  EmitterFilter filter;
  filter.limit = 2;
  std::vector<EmitterKey> seen;
  for (auto page = reader.emitters(filter); !page.empty(); page = reader.emitters(filter)) {
    for (const EmitterView& view : page) seen.push_back(view.emitter.key);
    filter.after = {page.back().emitter.last_heard, page.back().emitter.key};
  }
  EXPECT_THAT(
      seen, ElementsAre(EmitterKey{12, 6}, EmitterKey{12, 4}, EmitterKey{13, 3}, EmitterKey{13, 5},
                        EmitterKey{12, 0}, EmitterKey{12, 2}, EmitterKey{13, 1}));
}

TEST_F(ReaderTest, FixesComeNewestFirstWithWhatTheirBearingsSaid) {
  const Bearing a = plain_bearing(1, 7, 1, noon);
  Bearing b = plain_bearing(2, 8, 1, noon + Duration{400});
  b.azimuth_deg = 300.5;
  store::BearingStore(pool).append(std::vector{a, b});
  Transmission t;
  t.key = {12, noon};
  t.end = noon + std::chrono::seconds(1);
  Fix fix = sample_fix(12, noon, 1);
  fix.bearings = {{a.key, 0.5, true}, {b.key, -80.25, false}};
  fix.emitter = {12, 5};
  Fix later = sample_fix(12, noon + std::chrono::minutes(1));
  later.emitter = {12, 5};
  store::ResultBatch batch;
  batch.transmissions = {t};
  batch.fixes = {fix, later};
  store::ResultWriter(pool).write(batch);

  const auto views = reader.fixes({12, 5}, 10);
  ASSERT_EQ(views.size(), 2U);
  EXPECT_EQ(views[0].fix.key, later.key);
  EXPECT_EQ(views[1].fix.key, fix.key);  // exact, though timestamptz has microseconds
  expect_same(views[1].fix.solution, fix.solution);
  EXPECT_EQ(views[1].fix.bearings, fix.bearings);
  ASSERT_EQ(views[1].bearings.size(), 2U);
  EXPECT_EQ(views[1].bearings[0].azimuth_deg, a.azimuth_deg);
  EXPECT_EQ(views[1].bearings[1].azimuth_deg, 300.5);
  EXPECT_EQ(views[1].bearings[1].sigma_deg, b.sigma_deg);
  EXPECT_EQ(reader.fixes({12, 5}, 1).size(), 1U);
}

TEST_F(ReaderTest, UnknownWordInAColumnIsRefusedByName) {
  write({sample_emitter(12, 1)});
  rows(database.owner(), "ALTER TABLE emitter DROP CONSTRAINT emitter_state_check");
  rows(database.owner(), "UPDATE emitter SET state = 'asleep'");
  EmitterFilter any;
  try {
    reader.emitters(any);
    FAIL() << "an unknown word was read";
  } catch (const store::DatabaseRefused& e) {
    EXPECT_THAT(e.what(), testing::HasSubstr("column state holds the word asleep"));
  }
}

}  // namespace
}  // namespace fixwright::test
