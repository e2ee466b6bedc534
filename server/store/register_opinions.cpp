/// People's word on emitters, against or beside the register's.

#include <fmt/core.h>

#include "server/base/text.hpp"
#include "server/store/pool.hpp"
#include "server/store/register_book.hpp"
#include "server/store/rows.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

using Complaint = std::optional<std::string>;
using Parameters = std::vector<std::optional<std::string>>;

constexpr std::size_t kLongestNote = 2000;

Complaint fault_of(const RegisterOpinion& wish) {
  if (wish.by.empty()) return "nobody decides: say who, with --by; nothing was decided";
  if (wish.note.empty()) return "a decision without its reason: give --note; nothing was decided";
  for (const std::string* text : {&wish.by, &wish.note}) {
    if (one_line(*text) != *text || text->size() > kLongestNote) {
      return fmt::format(
          "\"{}\": must be one line of plain UTF-8 text of {} bytes at most; nothing "
          "was decided",
          one_line(*text, 100), kLongestNote);
    }
  }
  return std::nullopt;
}

Complaint unless_there(pqxx::work& tx, const RegisterOpinion& wish) {
  const EmitterKey key = wish.emitter;
  if (execute(tx, "SELECT FROM emitter WHERE channel_id = $1::bigint AND emitter_id = $2::bigint",
              {std::to_string(key.channel), std::to_string(key.id)})
          .empty()) {
    return fmt::format(
        "there is no emitter {}/{}: `fixwright emitters` names those there are; "
        "nothing was decided",
        key.channel, key.id);
  }
  if (wish.licence &&
      execute(tx, "SELECT FROM licence WHERE licence_id = $1", {*wish.licence}).empty()) {
    return fmt::format(
        "there is no entry {} in the register: `fixwright register list` names those "
        "there are; nothing was decided",
        one_line(*wish.licence, 100));
  }
  return std::nullopt;
}

Parameters parameters_of(const RegisterOpinion& o) {
  return {std::to_string(o.emitter.channel),
          std::to_string(o.emitter.id),
          o.verdict ? Parameters::value_type(to_string(*o.verdict)) : std::nullopt,
          o.licence,
          o.note,
          o.by};
}

void keep(pqxx::work& tx, const RegisterOpinion& o) {
  tx.exec("SELECT pg_advisory_xact_lock(hashtext('register_opinion'))");  // one number once
  execute(tx,
          "INSERT INTO register_opinion (channel_id, emitter_id, opinion, verdict, licence_id, "
          "note, decided_by, decided_at) SELECT $1::bigint, $2::bigint, "
          "(SELECT coalesce(max(opinion), 0) + 1 FROM register_opinion "
          "WHERE channel_id = $1::bigint AND emitter_id = $2::bigint), $3, $4, $5, $6, now()",
          parameters_of(o));
}

/// Shown before a running server has taken notice of it.
void show(pqxx::work& tx, const RegisterOpinion& o) {
  if (!o.verdict) return;
  const Parameters p{std::to_string(o.emitter.channel), std::to_string(o.emitter.id),
                     std::string(to_string(*o.verdict)), o.licence,
                     fmt::format("{} decided: {}", o.by, o.note)};
  execute(
      tx,
      "INSERT INTO register_match (channel_id, emitter_id, verdict, posterior, licence_id, "
      "distance_m, frequency_offset_hz, evidence) SELECT $1::bigint, $2::bigint, $3, 1, "
      "l.licence_id, ST_Distance(e.position, l.position), e.frequency_hz - l.frequency_hz, $5 "
      "FROM emitter AS e LEFT JOIN licence AS l ON l.licence_id = $4 AND e.position IS NOT NULL "
      "WHERE e.channel_id = $1::bigint AND e.emitter_id = $2::bigint "
      "ON CONFLICT (channel_id, emitter_id) DO UPDATE SET verdict = excluded.verdict, "
      "posterior = 1, evidence = excluded.evidence, "
      "licence_id = coalesce(excluded.licence_id, register_match.licence_id), "
      "distance_m = coalesce(excluded.distance_m, register_match.distance_m), "
      "frequency_offset_hz = "
      "coalesce(excluded.frequency_offset_hz, register_match.frequency_offset_hz)",
      p);
}

std::optional<RegisterVerdict> verdict_of(const pqxx::field& field) {
  if (field.is_null()) return std::nullopt;
  return word<RegisterVerdict>(field, RegisterVerdict::undecided);
}

}  // namespace

Result<RegisterOpinion> RegisterBook::decide(RegisterOpinion wish) {
  if (auto fault = fault_of(wish)) return Error{*fault};
  const Complaint refused = change(database_, [&](pqxx::work& tx) -> Complaint {
    if (auto fault = unless_there(tx, wish)) return fault;
    keep(tx, wish);
    show(tx, wish);
    return std::nullopt;
  });
  if (refused) return Error{*refused};
  return wish;
}

std::vector<RegisterOpinion> RegisterBook::opinions() {
  return look(database_, [](auto& tx) {
    std::vector<RegisterOpinion> opinions;
    for (const pqxx::row& row :
         tx.exec("SELECT * FROM (SELECT DISTINCT ON (channel_id, emitter_id) channel_id, "
                 "emitter_id, verdict, licence_id, note, decided_by, " +
                 as_microseconds("decided_at", "decided_at_us") +
                 " FROM register_opinion ORDER BY channel_id, emitter_id, opinion DESC) AS last "
                 "WHERE verdict IS NOT NULL ORDER BY channel_id, emitter_id")) {
      RegisterOpinion& o = opinions.emplace_back();
      o.emitter = {row["channel_id"].template as<ChannelId>(),
                   row["emitter_id"].template as<std::int64_t>()};
      o.verdict = verdict_of(row["verdict"]);
      o.licence = optional<std::string>(row["licence_id"]);
      o.note = row["note"].template as<std::string>();
      o.by = row["decided_by"].template as<std::string>();
      o.at = time(row["decided_at_us"]);
    }
    return opinions;
  });
}

}  // namespace fixwright::store
