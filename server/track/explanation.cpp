#include "server/track/explanation.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <optional>

#include "server/track/station_view.hpp"

namespace fixwright::track {

namespace {

/// Sets grow as a power of two: of more candidates the likeliest are weighed.
constexpr std::size_t kMostCandidates = 5;
constexpr std::size_t kMostSets = std::size_t{1} << kMostCandidates;
/// A share below it would change nothing that is told.
constexpr double kLeastShare = 0.02;
/// That a station hears an emitter which it never heard.
constexpr double kFirstHearing = 0.3;
/// An emitter that is not yet believed may be none.
constexpr double kTentativeExists = 0.3;

using BySet = std::array<double, kMostSets>;

class Explainer {
 public:
  Explainer(const ChannelTracks& tracks, std::span<const Bearing> bearings)
      : tracks_(tracks), bearings_(bearings) {}

  Explanation run(const std::vector<Option>& options) {
    choose_candidates(options);
    look_station_by_station(options);
    weigh_heard();
    weigh_on_air();
    return explanation();
  }

 private:
  void choose_candidates(const std::vector<Option>& options);
  void look_station_by_station(const std::vector<Option>& options);
  void weigh_heard();
  void weigh_on_air();
  void add_station_shares(std::size_t view, Explanation& all) const;
  [[nodiscard]] Explanation explanation() const;
  [[nodiscard]] double habit(std::size_t view, CandidateSet on_air, CandidateSet heard) const;
  [[nodiscard]] double prior(CandidateSet on_air) const;
  [[nodiscard]] double likelihood_at(std::size_t view, CandidateSet on_air) const;
  [[nodiscard]] CandidateSet sets() const { return 1U << candidates_.size(); }

  const ChannelTracks& tracks_;
  std::span<const Bearing> bearings_;
  std::vector<int> candidates_;  // emitters
  std::vector<StationView> views_;
  std::vector<BySet> heard_;  // by view: likelihood of a set heard, over the likeliest's
  std::vector<std::array<std::optional<double>, kMostCandidates>> hears_;  // by view
  std::vector<BySet> likelihood_;  // by view: of a set on the air, over the likeliest's
  BySet on_air_{};                 // probability of a set on the air
  double log_likelihood_ = 0.0;
};

void Explainer::choose_candidates(const std::vector<Option>& options) {
  std::vector<double> gain(tracks_.emitters.size(), 0.0);
  for (const Option& o : options) {
    gain[static_cast<std::size_t>(o.emitter)] += std::log1p(o.density / kNobodysDensity);
  }
  for (std::size_t e = 0; e < gain.size(); ++e) {
    if (gain[e] > 0.0) candidates_.push_back(static_cast<int>(e));
  }
  if (candidates_.size() <= kMostCandidates) return;
  std::stable_sort(candidates_.begin(), candidates_.end(), [&](int a, int b) {
    return gain[static_cast<std::size_t>(a)] > gain[static_cast<std::size_t>(b)];
  });
  candidates_.resize(kMostCandidates);
  std::sort(candidates_.begin(), candidates_.end());
}

/// EventOrder keeps the bearings of one instant together.
void Explainer::look_station_by_station(const std::vector<Option>& options) {
  auto option = options.begin();
  std::vector<CandidateOption> instant;
  for (std::size_t i = 0; i < bearings_.size(); ++i) {
    const Bearing& b = bearings_[i];
    for (; option != options.end() && option->bearing == i; ++option) {
      const auto c = std::find(candidates_.begin(), candidates_.end(), option->emitter);
      if (c == candidates_.end()) continue;
      instant.push_back({i, static_cast<unsigned>(c - candidates_.begin()), option->azimuth_deg,
                         option->density / kNobodysDensity});
    }
    const bool last = i + 1 == bearings_.size() || bearings_[i + 1].start != b.start ||
                      bearings_[i + 1].key.station != b.key.station;
    if (!last) continue;
    auto view = std::find_if(views_.begin(), views_.end(),
                             [&](const StationView& v) { return v.station() == b.key.station; });
    if (view == views_.end()) view = views_.insert(view, StationView(b.key.station));
    view->add_instant(std::move(instant));
    instant.clear();
  }
  // Those that heard nothing missed what they know.
  for (const int e : candidates_) {
    for (const StationId s : tracks_.emitters[static_cast<std::size_t>(e)].shown.stations) {
      const bool there = std::any_of(views_.begin(), views_.end(),
                                     [&](const StationView& v) { return v.station() == s; });
      if (!there) views_.emplace_back(s);
    }
  }
}

void Explainer::weigh_heard() {
  for (const StationView& view : views_) {
    BySet& weights = heard_.emplace_back();
    double most = 0.0;
    for (CandidateSet set = 0; set < sets(); ++set) {
      if ((set & ~view.able()) != 0) continue;
      weights[set] = view.log_ratio(set);
      most = std::max(most, weights[set]);
    }
    for (CandidateSet set = 0; set < sets(); ++set) {
      weights[set] = (set & ~view.able()) != 0 ? 0.0 : std::exp(weights[set] - most);
    }
    log_likelihood_ += most;
    auto& hears = hears_.emplace_back();
    for (std::size_t c = 0; c < candidates_.size(); ++c) {
      const auto& emitter = tracks_.emitters[static_cast<std::size_t>(candidates_[c])];
      hears[c] = emitter.habits.heard_by(view.station());
    }
  }
}

/// Probability that of those on the air just these are heard.
double Explainer::habit(std::size_t view, CandidateSet on_air, CandidateSet heard) const {
  double product = 1.0;
  for (std::size_t c = 0; c < candidates_.size(); ++c) {
    if ((on_air >> c & 1U) == 0) continue;
    const bool is_heard = (heard >> c & 1U) != 0;
    const auto& known = hears_[view][c];
    if (is_heard) {
      product *= known.value_or(kFirstHearing);
    } else {
      product *= known ? 1.0 - *known : 1.0;
    }
  }
  return product;
}

double Explainer::prior(CandidateSet on_air) const {
  double product = 1.0;
  for (std::size_t c = 0; c < candidates_.size(); ++c) {
    const EmitterRecord& e = tracks_.emitters[static_cast<std::size_t>(candidates_[c])];
    const double p = e.habits.on_air() * (e.believed() ? 1.0 : kTentativeExists);
    product *= (on_air >> c & 1U) != 0 ? p : 1.0 - p;
  }
  return product;
}

double Explainer::likelihood_at(std::size_t view, CandidateSet on_air) const {
  const CandidateSet may = on_air & views_[view].able();
  double sum = 0.0;
  for (CandidateSet heard = may;; heard = (heard - 1) & may) {  // every subset of `may`
    sum += habit(view, on_air, heard) * heard_[view][heard];
    if (heard == 0) return sum;
  }
}

void Explainer::weigh_on_air() {
  double all = 0.0;
  for (std::size_t v = 0; v < views_.size(); ++v) {
    BySet& likelihood = likelihood_.emplace_back();
    for (CandidateSet set = 0; set < sets(); ++set) likelihood[set] = likelihood_at(v, set);
  }
  for (CandidateSet set = 0; set < sets(); ++set) {
    double weight = prior(set);
    for (const BySet& likelihood : likelihood_) weight *= likelihood[set];
    on_air_[set] = weight;
    all += weight;
  }
  for (double& weight : on_air_) weight /= all;
  log_likelihood_ += std::log(all);
}

void Explainer::add_station_shares(std::size_t v, Explanation& all) const {
  const StationView& view = views_[v];
  std::vector<double> shares(view.options().size(), 0.0);
  std::array<double, kMostCandidates> heard_by{};
  for (CandidateSet heard = 0; heard < sets(); ++heard) {
    if ((heard & ~view.able()) != 0 || heard_[v][heard] == 0.0) continue;
    double probability = 0.0;
    for (CandidateSet set = heard; set < sets(); set = (set + 1) | heard) {  // every superset
      if (on_air_[set] < 1e-9) continue;
      probability += on_air_[set] * habit(v, set, heard) * heard_[v][heard] / likelihood_[v][set];
    }
    for (std::size_t c = 0; c < candidates_.size(); ++c) {
      if ((heard >> c & 1U) != 0) heard_by[c] += probability;
    }
    if (probability > 1e-4) view.add_shares(heard, probability, shares);
  }
  for (std::size_t c = 0; c < candidates_.size(); ++c) {
    auto& presence = all.presence[static_cast<std::size_t>(candidates_[c])];
    presence.heard.emplace_back(view.station(), heard_by[c]);
  }
  for (std::size_t o = 0; o < shares.size(); ++o) {
    const CandidateOption& option = view.options()[o];
    if (shares[o] < kLeastShare) continue;
    all.claims[option.bearing].shares.push_back(
        {candidates_[option.candidate], option.azimuth_deg, std::min(shares[o], 1.0)});
  }
}

void choose_likeliest(Claim& claim) {
  double somebodys = 0.0;
  const Share* best = nullptr;
  for (const Share& s : claim.shares) {
    somebodys += s.probability;
    if (best == nullptr || s.probability > best->probability) best = &s;
  }
  if (best == nullptr || somebodys < 0.5) {
    claim = {};
    return;
  }
  claim.emitter = best->emitter;
  claim.azimuth_deg = best->azimuth_deg;
}

Explanation Explainer::explanation() const {
  Explanation all;
  all.claims.resize(bearings_.size());
  all.presence.resize(tracks_.emitters.size());
  all.log_likelihood = log_likelihood_;
  for (std::size_t c = 0; c < candidates_.size(); ++c) {
    double& on_air = all.presence[static_cast<std::size_t>(candidates_[c])].on_air;
    for (CandidateSet set = 0; set < sets(); ++set) {
      if ((set >> c & 1U) != 0) on_air += on_air_[set];
    }
  }
  for (std::size_t v = 0; v < views_.size(); ++v) add_station_shares(v, all);
  for (Claim& claim : all.claims) choose_likeliest(claim);
  return all;
}

}  // namespace

Explanation explain(const ChannelTracks& tracks, std::span<const Bearing> bearings,
                    const SiteErrors& sites, const TrackRules& rules) {
  return Explainer(tracks, bearings).run(options_of(tracks, bearings, sites, rules));
}

void learn_habits(ChannelTracks& tracks, const Explanation& explanation) {
  for (std::size_t e = 0; e < explanation.presence.size(); ++e) {
    Habits& habits = tracks.emitters[e].habits;
    const Presence& p = explanation.presence[e];
    habits.count_transmission(p.on_air);
    for (const auto& [station, heard] : p.heard) habits.count_station(station, p.on_air, heard);
  }
}

}  // namespace fixwright::track
