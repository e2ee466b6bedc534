/// A day on which each kind of event happens, and goes on for hours: each is told once, and nothing
/// else is. The register and its decisions are the real ones.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>
#include <string>

#include "server/app/result_judge.hpp"
#include "server/geodesy/ellipse.hpp"
#include "tests/unit/register/simulated_register.hpp"

namespace fixwright::app {
namespace {

using register_::testing::emitter_at;
using register_::testing::kOsmere;
using register_::testing::licence_at;
using std::chrono::hours;
using std::chrono::minutes;
using std::chrono::seconds;

TimePoint midnight() { return *parse_rfc3339("2031-05-04T00:00:00Z"); }

GeoPoint east(double metres) { return geodesy::displace(kOsmere, {metres, 0.0}); }

std::shared_ptr<const register_::Register> the_register() {
  Licence ended = licence_at("OSM-4", kOsmere, 154e6);
  ended.valid_until = midnight() - hours{24};
  return std::make_shared<register_::Register>(
      std::vector<Licence>{licence_at("OSM-1", kOsmere, 151e6), licence_at("OSM-2", kOsmere, 152e6),
                           licence_at("OSM-3", kOsmere, 153e6), ended});
}

/// Emitters by the last digit of what they are about; each is heard all day.
Emitter heard(std::int64_t id, GeoPoint place, double frequency_hz, TimePoint at) {
  Emitter e = emitter_at(place, 300.0, frequency_hz);
  e.key = {1017, id};
  e.last_heard = at;
  e.fix.ellipse = geodesy::error_ellipse(e.fix.covariance, 0.95);
  e.stations = {1, 2, 3};
  return e;
}

/// The day, minute by minute.
class Day {
 public:
  Day() : judge_(register_::RegisterDecisions{the_register()}, make_engine()) {}

  void run() {
    for (now_ = midnight(); now_ < midnight() + hours{24}; now_ += minutes{1}) minute();
  }

  /// How many alerts of each kind there were, by their ids; revisions are not counted.
  [[nodiscard]] std::map<std::string, int> raised() const {
    std::map<std::string, int> count;
    for (const auto& [id, rule] : rule_of_) ++count[rule];
    return count;
  }
  [[nodiscard]] const std::vector<Alert>& told() const { return told_; }

 private:
  static alert::AlertEngine make_engine() {
    alert::AlertRules rules;
    rules.references = {{"OSM-1", hours{1}}};
    rules.silent_after = seconds{90};  // a heartbeat a minute here
    alert::AlertEngine engine{rules, [](StationId id) { return "STATION-" + std::to_string(id); },
                              [](EmitterKey key) { return key.id == 6; }};
    AlertSettings settings;
    settings.areas = {{"harbour", east(30'000.0), 2000.0, {0x7F, 600, 660}, 0.0, 1e12, "ana"}};
    engine.apply(settings);
    for (StationId s = 1; s <= 4; ++s) engine.expect(s, midnight());
    engine.expect_references(midnight());
    return engine;
  }

  [[nodiscard]] bool between(int from_h, int to_h) const {
    return now_ >= midnight() + hours{from_h} && now_ < midnight() + hours{to_h};
  }

  void minute() {
    take(judge_.tick(now_));
    for (StationId s = 1; s <= 4; ++s) beat(s);
    emitters();
    CalibrationDrift drift{4, now_, between(9, 12), 2.0, 0.2, 3, "CUSUM 7.1 over 5"};
    take(judge_.drift(drift));
    take(judge_.host({now_,
                      {{"/", between(13, 15) ? 50U : 500U, 1000U}},
                      DatabaseState{1'000'000, between(16, 18) ? 95 : 10, 100}}));
  }

  void beat(StationId station) {
    if (station == 1 && between(2, 3)) return;  // silent
    Heartbeat h{station, now_, now_, std::chrono::milliseconds{1}, ClockState::synchronised};
    if (station == 2 && between(4, 5)) h.clock_state = ClockState::unsynchronised;
    if (station == 3 && between(6, 7)) h.waiting = 50'000;
    take(judge_.heartbeat(h));
  }

  void emitters() {
    PipelineOutput out;
    if (!between(20, 22)) out.emitters.push_back(heard(1, kOsmere, 151e6, now_));
    out.emitters.push_back(heard(2, east(2000.0), 152e6, now_));    // not where its entry says
    out.emitters.push_back(heard(3, kOsmere, 153e6 + 14e3, now_));  // beside its band
    out.emitters.push_back(heard(4, kOsmere, 154e6, now_));         // its entry has ended
    out.emitters.push_back(heard(5, east(30'000.0), 155e6, now_));  // in no entry; in the harbour
    out.emitters.push_back(heard(6, kOsmere, 152e6, now_));         // as registered; watched
    if (now_ == midnight() + hours{8}) {
      out.events.push_back({{1017, 6}, now_, EmitterEventKind::returned, "heard again"});
      out.events.push_back({{1017, 1}, now_, EmitterEventKind::returned, "heard again"});
      out.events.push_back({{1017, 2}, now_, EmitterEventKind::moved, "2.1 km, 7 sigma"});
    }
    take(judge_.judge(out).alerts);
  }

  void take(std::vector<Alert> alerts) {
    for (Alert& a : alerts) {
      rule_of_[a.id] = a.rule;
      told_.push_back(std::move(a));
    }
  }

  ResultJudge judge_;
  TimePoint now_;
  std::map<std::string, std::string> rule_of_;
  std::vector<Alert> told_;
};

TEST(ScriptedDay, EachKindIsRaisedOnceAndNoneBesides) {
  Day day;
  day.run();
  std::map<std::string, int> each_once;
  for (std::size_t k = 0; k < kAlertKinds; ++k) {
    each_once[std::string(to_string(static_cast<AlertKind>(k)))] = 1;
  }
  EXPECT_EQ(day.raised(), each_once);
}

TEST(ScriptedDay, EachIsRevisedOnceAtMostAndThatWhenItEnds) {
  Day day;
  day.run();
  std::map<std::string, int> times;
  for (const Alert& a : day.told()) {
    if (++times[a.id] == 2) {
      EXPECT_TRUE(a.ended_at) << a.id;
    }
    EXPECT_LE(times[a.id], 2) << a.id;
  }
}

TEST(ScriptedDay, EveryAlertCarriesItsEvidenceAndAccusesNobody) {
  Day day;
  day.run();
  for (const Alert& a : day.told()) {
    SCOPED_TRACE(a.id);
    EXPECT_FALSE(a.evidence.would_change.empty());
    if (a.emitter) {
      EXPECT_EQ(a.evidence.stations, (std::vector<StationId>{1, 2, 3}));
      ASSERT_TRUE(a.evidence.region && a.evidence.position);
      EXPECT_EQ(a.evidence.region->probability, 0.95);
    }
    if (a.station) {
      EXPECT_EQ(a.evidence.stations, std::vector<StationId>{*a.station});
    }
    for (const char* word : {"illegal", "pirate", "unlicensed", "offender", "\n"}) {
      EXPECT_THAT(a.message, ::testing::Not(::testing::HasSubstr(word)));
    }
  }
}

}  // namespace
}  // namespace fixwright::app
