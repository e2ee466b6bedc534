#include "server/tools/calibration_command.hpp"

#include <fmt/core.h>

#include "server/base/clock.hpp"
#include "server/report/table.hpp"
#include "server/store/bearing_store.hpp"
#include "server/store/calibration_book.hpp"
#include "server/store/reader.hpp"
#include "server/tools/given_time.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

using calibrate::CalibrationProposal;

std::vector<Bearing> bearings_of(store::Database& database, TimePoint since, TimePoint until,
                                 Calibration part) {
  part.valid_from = since;
  std::vector<Bearing> bearings;
  store::BearingStore(database).read(since, until, [&](const Bearing& b) {
    if (part.covers(b)) bearings.push_back(b);
  });
  return bearings;
}

ProposedCalibration proposed(const CalibrationProposal& p, const ProposeOptions& options) {
  ProposedCalibration c;
  c.station = p.station;
  c.method = options.rules.joint ? CalibrationMethod::joint : CalibrationMethod::reference;
  c.calibration = options.part;
  c.calibration.bias_deg = p.bias_deg;
  c.bias_sigma_deg = p.bias_sigma_deg;
  c.spread_deg = p.spread_deg;
  c.bearings = p.bearings;
  c.transmitters = p.references;
  c.first = p.first;
  c.last = p.last;
  c.evidence = p.evidence;
  c.proposed_by = options.by;
  return c;
}

std::string name_of(const Stations& stations, StationId id) {
  const auto known = stations.find(id);
  return known == stations.end() ? fmt::format("station {}", id) : known->second.name;
}

std::string part_text(const Calibration& c) {
  std::string text;
  if (c.low_hz > 0.0 || c.high_hz < 1e12) {
    text += fmt::format("{:g} to {:g} MHz ", c.low_hz / 1e6, c.high_hz / 1e6);
  }
  if (c.from_azimuth_deg != 0.0 || c.to_azimuth_deg != 360.0) {
    text += fmt::format("{:g} to {:g} deg", c.from_azimuth_deg, c.to_azimuth_deg);
  }
  return text.empty() ? "all" : text;
}

std::string decision_text(const ProposedCalibration& p) {
  std::string text(to_string(p.state));
  if (p.state == CalibrationState::accepted) {
    text += " from " + format_rfc3339(p.calibration.valid_from);
  }
  if (!p.decided_by.empty()) text += " by " + p.decided_by;
  return p.note.empty() ? text : text + ": " + p.note;
}

int propose_from(store::Database& database, const ProposeOptions& options,
                 const std::vector<ReferenceTransmitter>& references, std::ostream& out,
                 std::ostream& err) {
  const auto since = given_time("--since", options.since, SystemClock().now(), err);
  const auto until = given_time("--until", options.until, SystemClock().now(), err);
  if (!since || !until) return 2;
  const Stations stations = store::Reader(database).stations();
  const auto bearings = bearings_of(database, *since, *until, options.part);
  const auto proposals = propose_calibrations(
      bearings, references, options.rules, [&](StationId id) { return name_of(stations, id); },
      err);
  store::CalibrationBook book(database);
  for (const CalibrationProposal& p : proposals) {
    const auto id = book.propose(proposed(p, options));
    out << fmt::format(
        "calibration {}: {} indicates {:+.2f} deg too much, known to {:.2f}; spread {:.2f} deg; "
        "{}\n",
        id, name_of(stations, p.station), p.bias_deg, p.bias_sigma_deg, p.spread_deg, p.evidence);
  }
  if (proposals.empty()) return 1;
  out << "nothing is changed yet: `fixwright calibration accept NUMBER` has one applied\n";
  return 0;
}

}  // namespace

int run_propose(const ProposeOptions& options, std::ostream& out, std::ostream& err) {
  if (!options.rules.joint && options.references.empty()) {
    err << "calibration propose: nothing to compare with; give --references FILE, or --joint\n";
    return 2;
  }
  if (options.by.empty()) {
    err << "calibration propose: nobody proposes; give --by NAME\n";
    return 2;
  }
  const auto references = read_reference_file(options.references);
  if (!references) {
    err << references.error() << '\n';
    return 2;
  }
  return with_database("calibration", options.database, err, [&](store::Database& database) {
    return propose_from(database, options, *references, out, err);
  });
}

int run_calibration_list(const CalibrationListOptions& options, std::ostream& out,
                         std::ostream& err) {
  return with_database("calibration", options.database, err, [&](store::Database& database) {
    const Stations stations = store::Reader(database).stations();
    std::vector<std::vector<std::string>> rows{
        {"NUMBER", "STATION", "BIAS DEG", "SIGMA", "SPREAD", "OF", "METHOD", "STATE", "EVIDENCE"}};
    for (const ProposedCalibration& p : store::CalibrationBook(database).all()) {
      rows.push_back({std::to_string(p.id), name_of(stations, p.station),
                      fmt::format("{:+.2f}", p.calibration.bias_deg),
                      fmt::format("{:.2f}", p.bias_sigma_deg), fmt::format("{:.2f}", p.spread_deg),
                      part_text(p.calibration), std::string(to_string(p.method)), decision_text(p),
                      p.evidence});
    }
    out << report::text_table(rows);
    return 0;
  });
}

int run_calibration_decide(const CalibrationDecideOptions& options, std::ostream& out,
                           std::ostream& err) {
  store::CalibrationDecision decision{options.id, std::nullopt, options.by, options.note};
  if (options.accept) {
    decision.valid_from = given_time("--from", options.from, SystemClock().now(), err);
    if (!decision.valid_from) return 2;
  }
  return with_database("calibration", options.database, err, [&](store::Database& database) {
    const auto decided = store::CalibrationBook(database).decide(decision);
    if (!decided) {
      err << decided.error() << '\n';
      return 1;
    }
    out << fmt::format("calibration {} of {}: {}\n", decided->id,
                       name_of(store::Reader(database).stations(), decided->station),
                       decision_text(*decided));
    return 0;
  });
}

}  // namespace fixwright::tools
