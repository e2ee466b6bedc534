#include "server/store/calibration_book.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>

#include "server/base/text.hpp"
#include "server/store/pool.hpp"
#include "server/store/rows.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

using Parameter = std::optional<std::string>;

constexpr std::size_t kLongestBy = 100;  // as the tables' checks have it
constexpr std::size_t kLongestNote = 2000;

std::string number(double value) {
  char digits[32];
  return std::string(digits, std::to_chars(digits, digits + sizeof digits, value).ptr);
}

std::string select_proposals() {
  return "SELECT c.calibration_id, c.station_id, c.method, c.bias_deg, c.bias_sigma_deg, "
         "c.spread_deg, c.low_hz, c.high_hz, c.from_azimuth_deg, c.to_azimuth_deg, c.bearings, "
         "c.transmitters, " +
         as_microseconds("c.first_at", "first_us") + ", " +
         as_microseconds("c.last_at", "last_us") + ", c.evidence, " +
         as_microseconds("c.proposed_at", "proposed_us") + ", c.proposed_by, d.accepted, " +
         as_microseconds("d.valid_from", "valid_from_us") + ", " +
         as_microseconds("d.decided_at", "decided_us") +
         ", d.decided_by, d.note FROM calibration AS c "
         "LEFT JOIN calibration_decision AS d ON d.calibration_id = c.calibration_id ";
}

Calibration calibration_of(const pqxx::row& row) {
  Calibration c;
  c.valid_from = optional_time(row["valid_from_us"]).value_or(time(row["first_us"]));
  c.low_hz = row["low_hz"].as<double>();
  c.high_hz = row["high_hz"].as<double>();
  c.from_azimuth_deg = row["from_azimuth_deg"].as<double>();
  c.to_azimuth_deg = row["to_azimuth_deg"].as<double>();
  c.bias_deg = row["bias_deg"].as<double>();
  return c;
}

ProposedCalibration proposal_of(const pqxx::row& row) {
  ProposedCalibration p;
  p.id = row["calibration_id"].as<std::int64_t>();
  p.station = row["station_id"].as<StationId>();
  p.method = word<CalibrationMethod>(row["method"], CalibrationMethod::joint);
  p.calibration = calibration_of(row);
  p.bias_sigma_deg = row["bias_sigma_deg"].as<double>();
  p.spread_deg = row["spread_deg"].as<double>();
  p.bearings = row["bearings"].as<std::size_t>();
  p.transmitters = row["transmitters"].as<std::size_t>();
  p.first = time(row["first_us"]);
  p.last = time(row["last_us"]);
  p.evidence = row["evidence"].as<std::string>();
  p.proposed_at = time(row["proposed_us"]);
  p.proposed_by = row["proposed_by"].as<std::string>();
  if (const auto accepted = optional<bool>(row["accepted"])) {
    p.state = *accepted ? CalibrationState::accepted : CalibrationState::refused;
    p.decided_at = time(row["decided_us"]);
    p.decided_by = row["decided_by"].as<std::string>();
    p.note = row["note"].as<std::string>();
  }
  return p;
}

Parameter fault_of(const CalibrationDecision& d) {
  if (d.by.empty()) return "nobody decides: say who, in `by`; nothing was decided";
  for (const auto& [what, text, longest] :
       {std::tuple{"by", &d.by, kLongestBy}, std::tuple{"note", &d.note, kLongestNote}}) {
    if (one_line(*text) != *text || text->size() > longest) {
      return fmt::format(
          "{} = \"{}\": must be one line of plain UTF-8 text of {} bytes at most; "
          "nothing was decided",
          what, one_line(*text, kLongestBy), longest);
    }
  }
  return std::nullopt;
}

Parameter unless_open(pqxx::transaction_base& tx, std::int64_t id) {
  const auto rows =
      execute(tx, select_proposals() + "WHERE c.calibration_id = $1::bigint", {std::to_string(id)});
  if (rows.empty()) {
    return fmt::format(
        "there is no calibration {}: `fixwright calibration list` names those there are; nothing "
        "was decided",
        id);
  }
  const ProposedCalibration p = proposal_of(rows[0]);
  if (p.state == CalibrationState::proposed) return std::nullopt;
  return fmt::format("calibration {} was {} already, by {}: propose a new one; nothing was decided",
                     id, to_string(p.state), p.decided_by);
}

}  // namespace

std::int64_t CalibrationBook::propose(const ProposedCalibration& p) {
  return change(database_, [&](pqxx::work& tx) {
    const Calibration& c = p.calibration;
    const auto rows = execute(
        tx,
        "INSERT INTO calibration (station_id, method, bias_deg, bias_sigma_deg, spread_deg, "
        "low_hz, high_hz, from_azimuth_deg, to_azimuth_deg, bearings, transmitters, first_at, "
        "last_at, evidence, proposed_by) VALUES ($1::integer, $2, $3::float8, $4::float8, "
        "$5::float8, $6::float8, $7::float8, $8::float8, $9::float8, $10::bigint, $11::integer, "
        "$12::timestamptz, $13::timestamptz, $14, $15) RETURNING calibration_id",
        {std::to_string(p.station), std::string(to_string(p.method)), number(c.bias_deg),
         number(p.bias_sigma_deg), number(p.spread_deg), number(c.low_hz), number(c.high_hz),
         number(c.from_azimuth_deg), number(c.to_azimuth_deg), std::to_string(p.bearings),
         std::to_string(p.transmitters), format_rfc3339(p.first, 6), format_rfc3339(p.last, 6),
         p.evidence, p.proposed_by});
    return rows.at(0)[0].as<std::int64_t>();
  });
}

Result<ProposedCalibration> CalibrationBook::decide(const CalibrationDecision& d) {
  if (const auto fault = fault_of(d)) return Error{*fault};
  return change(database_, [&](pqxx::work& tx) -> Result<ProposedCalibration> {
    // Two that decide at once wait for each other, so that the second is told; were it not so, the
    // table's key would refuse the second.
    execute(tx, "SELECT pg_advisory_xact_lock(hashtext('calibration_decision'))", {});
    if (const auto fault = unless_open(tx, d.id)) return Error{*fault};
    execute(
        tx,
        "INSERT INTO calibration_decision (calibration_id, accepted, valid_from, decided_by, "
        "note) VALUES ($1::bigint, $2::boolean, $3::timestamptz, $4, $5)",
        {std::to_string(d.id), d.valid_from ? "true" : "false",
         d.valid_from ? Parameter(format_rfc3339(*d.valid_from, 6)) : std::nullopt, d.by, d.note});
    const auto rows = execute(tx, select_proposals() + "WHERE c.calibration_id = $1::bigint",
                              {std::to_string(d.id)});
    return proposal_of(rows.at(0));
  });
}

std::vector<ProposedCalibration> CalibrationBook::all() {
  return look(database_, [&](pqxx::transaction_base& tx) {
    std::vector<ProposedCalibration> proposals;
    for (const pqxx::row& row : execute(tx, select_proposals() + "ORDER BY c.calibration_id", {})) {
      proposals.push_back(proposal_of(row));
    }
    return proposals;
  });
}

Calibrations CalibrationBook::accepted() {
  return look(database_, [&](pqxx::transaction_base& tx) {
    Calibrations accepted;
    const std::string where = "WHERE d.accepted ORDER BY d.decided_at, c.calibration_id";
    for (const pqxx::row& row : execute(tx, select_proposals() + where, {})) {
      accepted[row["station_id"].as<StationId>()].push_back(calibration_of(row));
    }
    return accepted;
  });
}

}  // namespace fixwright::store
