#include "tests/support/scenario/feed.hpp"

#include <gtest/gtest.h>

#include <set>

namespace fixwright::scenario {

namespace {

template <typename Map, typename Row, typename Key>
void upsert(Map& table, std::set<Key>& seen, const Row& row, const Key& key) {
  EXPECT_TRUE(seen.insert(key).second) << "an identity came twice in one output";
  const auto [at, is_new] = table.try_emplace(key, row);
  if (is_new) return;
  if constexpr (requires { row.revision; }) {
    EXPECT_GT(row.revision, at->second.revision) << "a revision did not grow";
  }
  at->second = row;
}

template <typename Map, typename Rows, typename KeyOf>
void upsert_all(Map& table, const Rows& rows, KeyOf&& key_of) {
  std::set<typename Map::key_type> seen;
  for (const auto& row : rows) upsert(table, seen, row, typename Map::key_type(key_of(row)));
}

}  // namespace

void Tables::take(const app::PipelineOutput& output) {
  upsert_all(transmissions, output.transmissions, [](const auto& t) { return t.key; });
  upsert_all(fixes, output.fixes, [](const auto& f) { return f.key; });
  upsert_all(emitters, output.emitters, [](const auto& e) { return e.key; });
  upsert_all(events, output.events, [](const auto& e) {
    return std::tuple{e.emitter, e.at, e.kind};
  });
  upsert_all(track_points, output.track_points, [](const auto& p) {
    return std::pair{p.emitter, p.at};
  });
  std::erase_if(track_points, [](const auto& p) { return p.second.withdrawn; });
  upsert_all(bearing_only, output.bearing_only, [](const auto& b) { return b.key; });
  late.insert(late.end(), output.late.begin(), output.late.end());
}

std::vector<Emitter> Tables::in_state(EmitterState state) const {
  std::vector<Emitter> found;
  for (const auto& [key, e] : emitters) {
    if (e.state == state) found.push_back(e);
  }
  return found;
}

std::vector<Fix> Tables::fixes_in(ResultState state) const {
  std::vector<Fix> found;
  for (const auto& [key, f] : fixes) {
    if (f.state == state) found.push_back(f);
  }
  return found;
}

int Tables::count(EmitterEventKind kind) const {
  int n = 0;
  for (const auto& [key, e] : events) n += e.kind == kind ? 1 : 0;
  return n;
}

std::vector<Arrival> arrivals(const std::vector<Bearing>& bearings, double delay_s, double jitter_s,
                              std::uint64_t seed) {
  Dice dice(seed);
  std::vector<Arrival> all;
  for (const Bearing& b : bearings) {
    all.push_back({b.end() + from_seconds(delay_s + jitter_s * dice.uniform()), b});
  }
  std::stable_sort(all.begin(), all.end(),
                   [](const Arrival& a, const Arrival& b) { return a.at < b.at; });
  return all;
}

Tables run(const app::PipelineRules& rules, const Stations& stations,
           const std::vector<Arrival>& arriving, const FeedRules& feed_rules) {
  app::Pipeline pipeline(rules, stations);
  Tables tables;
  feed(pipeline, stations, arriving, feed_rules,
       [&](TimePoint, const app::PipelineOutput& output) { tables.take(output); });
  pipeline.finish();
  tables.take(pipeline.take());
  return tables;
}

Tables run(const Stations& stations, const std::vector<Bearing>& bearings) {
  return run({}, stations, arrivals(bearings, 0.3, 0.0, 1));
}

}  // namespace fixwright::scenario
