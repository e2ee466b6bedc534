#include "server/store/case_book.hpp"

#include <fmt/core.h>

#include "server/base/text.hpp"
#include "server/store/pool.hpp"
#include "server/store/rows.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

using Complaint = std::optional<std::string>;
using Parameters = std::vector<std::optional<std::string>>;

constexpr std::size_t kLongestBy = 100;  // as the tables' checks have it
constexpr std::size_t kLongestText = 2000;

Complaint fault_of(std::string_view what, const std::string& text, std::size_t longest,
                   bool needed) {
  if (needed && text.empty()) return fmt::format("{} is empty; nothing was written", what);
  if (one_line(text, longest) == text) return std::nullopt;
  return fmt::format(
      "{} = \"{}\": must be one line of plain UTF-8 text of {} bytes at most; nothing was written",
      what, one_line(text, kLongestBy), longest);
}

Complaint fault_of(const CaseFile& wish) {
  if (auto fault = fault_of("by", wish.opened_by, kLongestBy, true)) return fault;
  if (auto fault = fault_of("question", wish.question, kLongestText, true)) return fault;
  if (auto fault = fault_of("complaint", wish.complaint, kLongestText, false)) return fault;
  if (wish.until <= wish.since) return "its end is not after its begin; nothing was written";
  return std::nullopt;
}

std::string number(double value) { return pqxx::to_string(value); }

/// The emitter of an alert; a complaint when there is no such alert.
Complaint emitter_of_alert(pqxx::work& tx, const std::string& alert,
                           std::vector<EmitterKey>& emitters) {
  if (alert.empty()) return std::nullopt;
  const auto rows =
      execute(tx, "SELECT channel_id, emitter_id FROM alert WHERE alert_id = $1", {alert});
  if (rows.empty()) return fmt::format("there is no alert {}; nothing was written", alert);
  if (!rows[0][1].is_null()) {
    emitters.push_back({rows[0][0].as<ChannelId>(), rows[0][1].as<std::int64_t>()});
  }
  return std::nullopt;
}

Complaint insert_emitter(pqxx::work& tx, std::int64_t id, const CaseEmitter& e) {
  const auto there =
      execute(tx, "SELECT FROM emitter WHERE channel_id = $1::bigint AND emitter_id = $2::bigint",
              {std::to_string(e.emitter.channel), std::to_string(e.emitter.id)});
  if (there.empty()) {
    return fmt::format("there is no emitter {}/{}; nothing was written", e.emitter.channel,
                       e.emitter.id);
  }
  execute(tx,
          "INSERT INTO case_emitter (channel_id, emitter_id, case_id, added_by, why) VALUES "
          "($1::bigint, $2::bigint, $3::bigint, $4, $5) ON CONFLICT DO NOTHING",
          {std::to_string(e.emitter.channel), std::to_string(e.emitter.id), std::to_string(id),
           e.added_by, e.why});
  return std::nullopt;
}

std::int64_t insert_file(pqxx::work& tx, const CaseFile& c) {
  Parameters p{c.opened_by,
               c.question,
               c.complaint,
               c.alert.empty() ? std::nullopt : std::optional(c.alert),
               format_rfc3339(c.since, 6),
               format_rfc3339(c.until, 6),
               std::nullopt,
               std::nullopt,
               std::nullopt,
               std::nullopt};
  if (c.frequency_hz) p[6] = number(*c.frequency_hz);
  if (c.place) {
    p[7] = number(c.place->longitude_deg);
    p[8] = number(c.place->latitude_deg);
    p[9] = number(c.radius_m);
  }
  return execute(tx,
                 "INSERT INTO case_file (opened_by, question, complaint, alert_id, since, until, "
                 "frequency_hz, place, radius_m) VALUES ($1, $2, $3, $4, $5::timestamptz, "
                 "$6::timestamptz, $7::float8, ST_MakePoint($8::float8, $9::float8)::geography, "
                 "$10::float8) RETURNING case_id",
                 p)
      .at(0)[0]
      .as<std::int64_t>();
}

void gather(pqxx::work& tx, std::int64_t id, const CaseFile& c) {
  if (!c.frequency_hz && !c.place) return;
  execute(tx,
          "INSERT INTO case_emitter (channel_id, emitter_id, case_id, added_by, why) "
          "SELECT e.channel_id, e.emitter_id, c.case_id, c.opened_by, 'heard in its stretch' || "
          "CASE WHEN c.frequency_hz IS NULL THEN '' ELSE ', on its frequency' END || "
          "CASE WHEN c.place IS NULL THEN '' ELSE ', within its radius' END "
          "FROM case_file AS c JOIN emitter AS e ON e.first_heard <= c.until "
          "AND e.last_heard >= c.since AND e.state IN ('confirmed', 'silent') "
          "WHERE c.case_id = $1::bigint "
          "AND (c.frequency_hz IS NULL OR abs(e.frequency_hz - c.frequency_hz) <= 12500) "
          "AND (c.place IS NULL OR ST_DWithin(e.position, c.place, c.radius_m)) "
          "ON CONFLICT DO NOTHING",
          {std::to_string(id)});
}

Complaint unless_open(pqxx::work& tx, std::int64_t id) {
  const auto rows = execute(
      tx, "SELECT closed_at IS NOT NULL FROM case_file WHERE case_id = $1::bigint FOR UPDATE",
      {std::to_string(id)});
  if (rows.empty()) return fmt::format("there is no case {}; nothing was written", id);
  if (rows[0][0].as<bool>()) return fmt::format("case {} is closed; nothing was written", id);
  return std::nullopt;
}

CaseFile file_of(const pqxx::row& row) {
  CaseFile c;
  c.id = row["case_id"].as<std::int64_t>();
  c.opened_at = time(row["opened_us"]);
  c.opened_by = row["opened_by"].c_str();
  c.question = row["question"].c_str();
  c.complaint = row["complaint"].c_str();
  c.alert = row["alert_id"].is_null() ? "" : row["alert_id"].c_str();
  c.since = time(row["since_us"]);
  c.until = time(row["until_us"]);
  c.frequency_hz = optional<double>(row["frequency_hz"]);
  if (!row["longitude"].is_null()) {
    c.place = GeoPoint{row["latitude"].as<double>(), row["longitude"].as<double>()};
    c.radius_m = row["radius_m"].as<double>();
  }
  c.closed_at = optional_time(row["closed_us"]);
  if (c.closed_at) {
    c.closed_by = row["closed_by"].c_str();
    c.outcome = row["outcome"].c_str();
  }
  return c;
}

std::string select_files() {
  return "SELECT case_id, opened_by, question, complaint, alert_id, frequency_hz, radius_m, "
         "closed_by, outcome, ST_Y(place) AS latitude, ST_X(place) AS longitude, " +
         as_microseconds("opened_at", "opened_us") + ", " + as_microseconds("since", "since_us") +
         ", " + as_microseconds("until", "until_us") + ", " +
         as_microseconds("closed_at", "closed_us") + " FROM case_list ";
}

/// Throws to leave the transaction without a trace; never leaves this file.
struct NotKept {
  std::string why;
};

template <typename Work>
auto kept(Database& database, Work work) -> Result<decltype(work(std::declval<pqxx::work&>()))> {
  try {
    return change(database, work);
  } catch (const NotKept& reason) {
    return Error{reason.why};
  }
}

void insist(const Complaint& complaint) {
  if (complaint) throw NotKept{*complaint};
}

}  // namespace

Result<std::int64_t> CaseBook::open(const CaseFile& wish, const std::vector<EmitterKey>& emitters) {
  return kept(database_, [&](pqxx::work& tx) {
    insist(fault_of(wish));
    std::vector<EmitterKey> named = emitters;
    insist(emitter_of_alert(tx, wish.alert, named));
    const std::int64_t id = insert_file(tx, wish);
    for (const EmitterKey& key : named) {
      insist(insert_emitter(tx, id, {key, wish.opened_by, "it was opened about it"}));
    }
    gather(tx, id, wish);
    return id;
  });
}

Result<bool> CaseBook::add(std::int64_t id, const CaseEmitter& emitter) {
  return kept(database_, [&](pqxx::work& tx) {
    insist(fault_of("by", emitter.added_by, kLongestBy, true));
    insist(fault_of("note", emitter.why, kLongestText, false));
    insist(unless_open(tx, id));
    insist(insert_emitter(tx, id, emitter));
    return true;
  });
}

Result<bool> CaseBook::note(std::int64_t id, const CaseNote& note) {
  return kept(database_, [&](pqxx::work& tx) {
    insist(fault_of("by", note.by, kLongestBy, true));
    insist(fault_of("note", note.note, kLongestText, true));
    insist(unless_open(tx, id));
    execute(tx, "INSERT INTO case_note (case_id, by, note) VALUES ($1::bigint, $2, $3)",
            {std::to_string(id), note.by, note.note});
    return true;
  });
}

Result<bool> CaseBook::close(std::int64_t id, const std::string& by, const std::string& outcome) {
  return kept(database_, [&](pqxx::work& tx) {
    insist(fault_of("by", by, kLongestBy, true));
    insist(fault_of("outcome", outcome, kLongestText, true));
    insist(unless_open(tx, id));
    execute(tx,
            "UPDATE case_file SET closed_at = now(), closed_by = $2, outcome = $3 "
            "WHERE case_id = $1::bigint",
            {std::to_string(id), by, outcome});
    return true;
  });
}

std::optional<Case> CaseBook::read(std::int64_t id) {
  const Parameters key{std::to_string(id)};
  return look(database_, [&](auto& tx) -> std::optional<Case> {
    const auto files = execute(tx, select_files() + "WHERE case_id = $1::bigint", key);
    if (files.empty()) return std::nullopt;
    Case c{file_of(files[0]), {}, {}};
    for (const auto& row : execute(tx,
                                   "SELECT by, note, " + as_microseconds("at", "us") +
                                       " FROM case_note_list WHERE case_id = $1::bigint "
                                       "ORDER BY note_id",
                                   key)) {
      c.notes.push_back({time(row[2]), row[0].c_str(), row[1].c_str()});
    }
    for (const auto& row : execute(tx,
                                   "SELECT channel_id, emitter_id, added_by, why FROM "
                                   "case_emitter_list WHERE case_id = $1::bigint "
                                   "ORDER BY added_at, channel_id, emitter_id",
                                   key)) {
      c.emitters.push_back({{row[0].template as<ChannelId>(), row[1].template as<std::int64_t>()},
                            row[2].c_str(),
                            row[3].c_str()});
    }
    return c;
  });
}

std::vector<CaseFile> CaseBook::list() {
  return look(database_, [](auto& tx) {
    std::vector<CaseFile> all;
    for (const auto& row : tx.exec(select_files() + "ORDER BY open DESC, case_id DESC")) {
      all.push_back(file_of(row));
    }
    return all;
  });
}

}  // namespace fixwright::store
