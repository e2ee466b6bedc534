#include "tests/support/scenario/judge.hpp"

#include <algorithm>
#include <cmath>
#include <ctime>
#include <map>
#include <numbers>
#include <set>

#include "server/geodesy/ellipse.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/geodesy/local_frame.hpp"
#include "tests/support/scenario/gospa.hpp"

namespace fixwright::scenario {

namespace {

constexpr double kNear_m = 2000.0;  // GOSPA's cutoff

double since_start(TimePoint t) { return seconds(t - scenario_start()); }

bool is_believed(const Emitter& e) {
  return e.state == EmitterState::confirmed || e.state == EmitterState::silent;
}

/// A mover is where its velocity has brought it.
GeoPoint shown_place(const Emitter& e, TimePoint now) {
  if (!e.velocity) return e.fix.position;
  const double dt = seconds(now - e.valid_at);
  const double course = e.velocity->course_deg * std::numbers::pi / 180.0;
  const double way_m = e.velocity->speed_m_per_s * dt;
  return geodesy::displace(e.fix.position, {way_m * std::sin(course), way_m * std::cos(course)});
}

bool exists(const Source& s, double t_s) {
  return !s.on.empty() && t_s >= s.on.front().from_s && t_s <= s.until_s;
}

std::vector<GeoPoint> truths(const std::vector<Source>& sources, double t_s) {
  std::vector<GeoPoint> all;
  for (const Source& s : sources) {
    if (exists(s, t_s)) all.push_back(s.at(t_s));
  }
  return all;
}

using Votes = std::map<EmitterKey, std::map<int, int>>;

class Judge {
 public:
  Judge(const std::vector<Source>& sources, const Simulated& heard, const JudgeRules& rules)
      : sources_(sources), heard_(heard), rules_(rules), next_s_(rules.from_s) {
    for (std::size_t i = 0; i < heard.bearings.size(); ++i) {
      source_of_[heard.bearings[i].key] = heard.source[i];
    }
  }

  void see(TimePoint now, const app::PipelineOutput& output) {
    told_.tables.take(output);
    for (const Emitter& e : output.emitters) {
      if (e.state == EmitterState::confirmed) confirmed_at_.try_emplace(e.key, now);
    }
    if (since_start(now) < next_s_) return;
    next_s_ += rules_.every_s;
    score(now);
  }

  Judgement verdict(TimePoint end) {
    score(end);
    told_.gospa_m = sum_m_ / samples_;
    count_identities();
    count_confirmation();
    count_inside(end);
    return std::move(told_);
  }

 private:
  void score(TimePoint now) {
    std::vector<GeoPoint> shown;
    for (const auto& [key, e] : told_.tables.emitters) {
      if (!is_believed(e) || seconds(now - e.last_heard) > rules_.shown_for_s) continue;
      shown.push_back(shown_place(e, now));
    }
    const Gospa g = gospa(truths(sources_, since_start(now)), shown);
    follow(now);
    sum_m_ += g.total_m;
    samples_ += 1.0;
    told_.missed_at_end = g.missed;
    told_.false_at_end = g.false_ones;
  }

  /// A truth keeps the identity it has while that is near, else takes the nearest that nobody has
  /// (K. Bernardin, R. Stiefelhagen, EURASIP J. Image and Video Processing 2008, 246309, 2.1.1).
  void follow(TimePoint now) {
    std::set<EmitterKey> taken;
    std::map<std::size_t, EmitterKey> kept;
    for (const auto& [source, key] : identity_of_) {
      if (distance_m(source, key, now) > kNear_m) continue;
      kept[source] = key;
      taken.insert(key);
    }
    for (std::size_t s = 0; s < sources_.size(); ++s) {
      if (kept.contains(s) || !exists(sources_[s], since_start(now))) continue;
      const auto nearest = nearest_free(s, taken, now);
      if (!nearest) continue;
      taken.insert(*nearest);
      const auto [at, is_new] = identity_of_.try_emplace(s, *nearest);
      if (!is_new && at->second != *nearest) told_.switches += 1;
      at->second = *nearest;
    }
  }

  [[nodiscard]] double distance_m(std::size_t source, EmitterKey key, TimePoint now) const {
    const Emitter& e = told_.tables.emitters.at(key);
    if (!is_believed(e)) return 1e9;
    return geodesy::distance_m(sources_[source].at(since_start(now)), shown_place(e, now));
  }

  [[nodiscard]] std::optional<EmitterKey> nearest_free(std::size_t source,
                                                       const std::set<EmitterKey>& taken,
                                                       TimePoint now) const {
    std::optional<EmitterKey> nearest;
    double least_m = kNear_m;
    for (const auto& [key, e] : told_.tables.emitters) {
      if (e.key.channel != sources_[source].channel || taken.contains(key)) continue;
      const double m = distance_m(source, key, now);
      if (m >= least_m) continue;
      least_m = m;
      nearest = key;
    }
    return nearest;
  }

  /// Who each identity's bearings are.
  [[nodiscard]] Votes votes() const {
    Votes all;
    for (const auto& [key, fix] : told_.tables.fixes) {
      if (!fix.emitter || fix.state == ResultState::withdrawn) continue;
      for (const FixBearing& b : fix.bearings) {
        if (b.used) all[*fix.emitter][source_of_.at(b.key)] += 1;
      }
    }
    return all;
  }

  void count_identities() {
    double purity = 0.0;
    double identities = 0.0;
    for (const auto& [key, sources] : votes()) {
      if (!confirmed_at_.contains(key)) continue;
      const auto most =
          std::max_element(sources.begin(), sources.end(),
                           [](const auto& a, const auto& b) { return a.second < b.second; });
      int all = 0;
      for (const auto& [source, n] : sources) all += n;
      purity += static_cast<double>(most->second) / all;
      identities += 1.0;
      truth_of_[key] = most->first;
    }
    told_.purity = identities > 0.0 ? purity / identities : 0.0;
    told_.identities_per_truth = identities / static_cast<double>(sources_.size());
  }

  void count_confirmation() {
    std::map<int, TimePoint> first;
    for (const auto& [key, source] : truth_of_) {
      const auto [at, is_new] = first.try_emplace(source, confirmed_at_.at(key));
      if (!is_new) at->second = std::min(at->second, confirmed_at_.at(key));
    }
    for (const auto& [source, when] : first) {
      int n = 0;
      for (std::size_t i = 0; i < heard_.bearings.size(); ++i) {
        const Bearing& b = heard_.bearings[i];
        n += heard_.source[i] == source && b.end() + from_seconds(rules_.delay_s) <= when ? 1 : 0;
      }
      told_.bearings_to_confirm.push_back(n);
    }
  }

  void count_inside(TimePoint end) {
    for (const auto& [key, source] : truth_of_) {
      const Emitter& e = told_.tables.emitters.at(key);
      if (source < 0 || !is_believed(e) || e.motion != Motion::still) continue;
      const GeoPoint truth = sources_[static_cast<std::size_t>(source)].at(since_start(end));
      told_.believed += 1;
      told_.inside += geodesy::ellipse_holds(e.fix.position, e.fix.ellipse, truth) ? 1 : 0;
    }
  }

  const std::vector<Source>& sources_;
  const Simulated& heard_;
  const JudgeRules& rules_;
  double next_s_;
  std::map<BearingKey, int> source_of_;
  std::map<EmitterKey, TimePoint> confirmed_at_;
  std::map<EmitterKey, int> truth_of_;
  std::map<std::size_t, EmitterKey> identity_of_;
  double sum_m_ = 0.0;
  double samples_ = 0.0;
  Judgement told_;
};

}  // namespace

Judgement judge(const Stations& stations, const std::vector<Source>& sources,
                const Simulated& heard, const JudgeRules& rules) {
  app::Pipeline pipeline({}, stations);
  Judge judge(sources, heard, rules);
  TimePoint end = scenario_start();
  const auto arriving = arrivals(heard.bearings, rules.delay_s, rules.jitter_s, 1);
  std::clock_t own = 0;
  const std::clock_t from = std::clock();
  feed(pipeline, stations, arriving, {.step_s = rules.step_s},
       [&](TimePoint now, const app::PipelineOutput& output) {
         const std::clock_t here = std::clock();
         judge.see(now, output);
         own += std::clock() - here;
         end = now;
       });
  const double cpu_s = static_cast<double>(std::clock() - from - own) / CLOCKS_PER_SEC;
  Judgement verdict = judge.verdict(end);
  verdict.cpu_ms_per_1000 = 1e6 * cpu_s / static_cast<double>(heard.bearings.size());
  return verdict;
}

double median(std::vector<int> values) {
  if (values.empty()) return 0.0;
  std::sort(values.begin(), values.end());
  const std::size_t middle = values.size() / 2;
  if (values.size() % 2 == 1) return values[middle];
  return 0.5 * (values[middle - 1] + values[middle]);
}

}  // namespace fixwright::scenario
