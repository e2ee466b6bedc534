#include "server/store/decision_rows.hpp"

#include "server/store/rows.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

using Parameter = std::optional<std::string>;

EmitterDecision decision_of(const pqxx::row& row) {
  EmitterDecision d;
  d.id = row["decision_id"].as<std::int64_t>();
  d.at = time(row["decided_at_us"]);
  d.by = row["decided_by"].as<std::string>();
  d.kind = word<DecisionKind>(row["kind"], DecisionKind::undo);
  d.emitter = {row["channel_id"].as<ChannelId>(), row["emitter_id"].as<std::int64_t>()};
  d.name = row["name"].as<std::string>("");
  d.note = row["note"].as<std::string>();
  d.other = optional<std::int64_t>(row["other_emitter_id"]);
  d.undoes = optional<std::int64_t>(row["undoes"]);
  d.undone_by = optional<std::int64_t>(row["undone_by"]);
  return d;
}

Parameter number(const std::optional<std::int64_t>& value) {
  return value ? Parameter(std::to_string(*value)) : std::nullopt;
}

}  // namespace

std::vector<EmitterDecision> read_decisions(pqxx::transaction_base& tx, const std::string& where,
                                            const std::vector<Parameter>& values) {
  std::vector<EmitterDecision> decisions;
  const std::string select = "SELECT decision_id, " +
                             as_microseconds("decided_at", "decided_at_us") +
                             ", decided_by, kind, channel_id, emitter_id, name, note, "
                             "other_emitter_id, undoes, undone_by FROM emitter_decision ";
  for (const pqxx::row& row : execute(tx, select + where + " ORDER BY decision_id", values)) {
    decisions.push_back(decision_of(row));
  }
  return decisions;
}

void insert_decision(pqxx::transaction_base& tx, EmitterDecision& d) {
  const auto rows = execute(
      tx,
      "INSERT INTO emitter_decision (decided_by, kind, channel_id, emitter_id, name, note, "
      "other_emitter_id, undoes) VALUES ($1, $2, $3::bigint, $4::bigint, $5, $6, $7::bigint, "
      "$8::bigint) RETURNING decision_id, " +
          as_microseconds("decided_at", "decided_at_us"),
      {d.by, std::string(to_string(d.kind)), std::to_string(d.emitter.channel),
       std::to_string(d.emitter.id),
       d.kind == DecisionKind::rename ? Parameter(d.name) : std::nullopt, d.note, number(d.other),
       number(d.undoes)});
  d.id = rows.at(0)[0].as<std::int64_t>();
  d.at = time(rows.at(0)[1]);
}

void refresh_name(pqxx::transaction_base& tx, EmitterKey emitter) {
  const std::vector<Parameter> key{std::to_string(emitter.channel), std::to_string(emitter.id)};
  execute(tx, "DELETE FROM emitter_name WHERE channel_id = $1::bigint AND emitter_id = $2::bigint",
          key);
  execute(tx,
          "INSERT INTO emitter_name (channel_id, emitter_id, name) "
          "SELECT channel_id, emitter_id, name FROM (SELECT * FROM emitter_decision "
          "WHERE channel_id = $1::bigint AND emitter_id = $2::bigint AND kind = 'rename' "
          "AND undone_by IS NULL ORDER BY decision_id DESC LIMIT 1) AS standing WHERE name <> ''",
          key);
}

}  // namespace fixwright::store
