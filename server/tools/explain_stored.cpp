#include <fmt/core.h>

#include <algorithm>
#include <exception>
#include <optional>

#include "server/app/server_config.hpp"
#include "server/geodesy/geodesic.hpp"
#include "server/locate/cross_fix.hpp"
#include "server/locate/pool.hpp"
#include "server/report/csv.hpp"
#include "server/store/reader.hpp"
#include "server/store/schema.hpp"
#include "server/tools/explain_command.hpp"
#include "server/tools/explained_fix.hpp"
#include "server/tools/fix_name.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

/// Nearer than this a fresh cross-fix is the stored one: the solver stops below a millimetre, and
/// SQL keeps the place to less.
constexpr double kSamePlace_m = 0.01;

struct StoredFix {
  FixView view;
  std::vector<Bearing> bearings;
  Stations stations;
};

locate::GroupFix cross(const std::vector<Bearing>& bearings, const Stations& stations,
                       const locate::LocateRules& rules) {
  locate::GroupFix group;
  group.pooled = locate::pool(bearings, stations, rules);
  group.fix = locate::cross_fix(group.pooled, rules);
  return group;
}

std::vector<Bearing> without_set_aside(const StoredFix& stored) {
  std::vector<Bearing> kept = stored.bearings;
  std::erase_if(kept, [&](const Bearing& b) {
    const auto& parts = stored.view.bearings;
    return std::any_of(parts.begin(), parts.end(), [&](const FixBearingView& p) {
      return p.part.key == b.key && !p.part.used;
    });
  });
  return kept;
}

double apart_m(const CrossFix& a, const CrossFix& b) {
  return geodesy::inverse(a.position, b.position).range_m;
}

bool same(const CrossFix& fresh, const CrossFix& stored) {
  if (fresh.refusal != stored.refusal) return false;
  return !fresh.accepted() || apart_m(fresh, stored) <= kSamePlace_m;
}

std::string_view agreement(const CrossFix& fresh, const CrossFix& stored) {
  return same(fresh, stored) ? "the same" : "DIFFERENT";
}

/// The rules or a station's calibration may have changed since, or bearings were dropped by
/// retention; the reader decides what to make of it.
std::vector<std::string> remarks(const StoredFix& stored, const CrossFix& fresh) {
  const CrossFix& was = stored.view.fix.solution;
  std::vector<std::string> lines{
      fmt::format("stored      revision {}, {}; crossed afresh from {} stored bearings: {}",
                  stored.view.fix.revision, to_string(stored.view.fix.state),
                  stored.bearings.size(), agreement(fresh, was))};
  if (stored.view.fix.emitter) {
    lines.push_back("emitter     " + report::emitter_text(*stored.view.fix.emitter));
  }
  if (same(fresh, was)) return lines;
  const std::string place =
      was.accepted()
          ? fmt::format("{:.7f}, {:.7f}", was.position.latitude_deg, was.position.longitude_deg)
          : "refused, " + std::string(to_string(was.refusal));
  lines.push_back(fmt::format(
      "            stored was {}{}; the rules, a station's calibration or the bearings kept have "
      "changed since: give --config the server's file, look at the stations",
      place,
      was.accepted() && fresh.accepted() ? fmt::format(", {:.1f} m away", apart_m(was, fresh))
                                         : ""));
  return lines;
}

/// The tracker may have set bearings aside before it crossed the rest: that is tried too.
ExplainedFix explain(const StoredFix& stored, const locate::LocateRules& rules) {
  const CrossFix& was = stored.view.fix.solution;
  locate::GroupFix group = cross(stored.bearings, stored.stations, rules);
  if (!same(group.fix, was)) {
    locate::GroupFix kept = cross(without_set_aside(stored), stored.stations, rules);
    if (same(kept.fix, was)) group = std::move(kept);
  }
  ExplainedFix explained{
      stored.view.fix.key, stored.view.fix.frequency_hz, std::move(group), {}, {}};
  explained.remarks = remarks(stored, explained.group.fix);
  for (const auto& [id, station] : stored.stations) explained.names[id] = station.name;
  return explained;
}

/// The server's own rules, where its configuration is given.
std::optional<locate::LocateRules> rules_of(const ExplainOptions& options, std::ostream& err) {
  if (options.config.empty()) return options.locate.rules;
  const auto config = app::read_server_config(options.config);
  if (config) return config->pipeline.locate;
  err << config.error() << '\n';
  return std::nullopt;
}

std::optional<StoredFix> read_stored(const ExplainOptions& options, std::ostream& err) {
  store::Database database{command_rules(options.database)};
  store::check_schema(database);
  store::Reader reader{database};
  const auto key = options.fix.empty() ? reader.newest_fix() : parse_fix_name(options.fix);
  if (!key && !options.fix.empty()) {
    err << fmt::format(
        "--fix = {}: must be CHANNEL/TRANSMISSION/ORDINAL, the numbers of the view "
        "fix_latest\n",
        options.fix);
    return std::nullopt;
  }
  auto view = key ? reader.fix(*key) : std::nullopt;
  if (!view) {
    err << fmt::format("explain: the database has no fix {}; the view fix_latest lists them\n",
                       options.fix.empty() ? "that was accepted" : options.fix);
    return std::nullopt;
  }
  auto bearings = reader.bearings_of(*view);
  if (bearings.empty()) {
    err << fmt::format(
        "explain: the bearings of {} are no longer kept; its row in the view fix_latest is "
        "all there is\n",
        report::fix_text(*key));
    return std::nullopt;
  }
  return StoredFix{std::move(*view), std::move(bearings), reader.stations()};
}

}  // namespace

int run_explain_stored(const ExplainOptions& options, std::ostream& out, std::ostream& err) {
  try {
    const auto rules = rules_of(options, err);
    const auto stored = rules ? read_stored(options, err) : std::nullopt;
    if (!stored) return 2;
    const ExplainedFix explained = explain(*stored, *rules);
    write_fix(explained, out);
    return draw(explained, options.svg, err) ? 0 : 2;
  } catch (const std::exception& error) {
    err << fmt::format("explain: {}\n", error.what());
    return 2;
  }
}

}  // namespace fixwright::tools
