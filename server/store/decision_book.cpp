#include "server/store/decision_book.hpp"

#include <fmt/core.h>

#include "server/base/text.hpp"
#include "server/store/decision_rows.hpp"
#include "server/store/pool.hpp"
#include "server/store/rows.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

using Complaint = std::optional<std::string>;

constexpr std::size_t kLongestBy = 100;  // as the table's checks have it
constexpr std::size_t kLongestName = 200;
constexpr std::size_t kLongestNote = 2000;

// So that ids become visible in their order: who reads up to one has read all before it.
constexpr auto kOneAtATime = "SELECT pg_advisory_xact_lock(hashtext('emitter_decision'))";

std::string text_of(EmitterKey key) { return fmt::format("emitter {}/{}", key.channel, key.id); }

Complaint fault_of_text(std::string_view what, const std::string& text, std::size_t longest) {
  if (one_line(text) != text) {
    return fmt::format("{} = \"{}\": must be one line of plain UTF-8 text; nothing was decided",
                       what, one_line(text, kLongestBy));
  }
  if (text.size() > longest) {
    return fmt::format("{} has {} bytes: must be {} at most; nothing was decided", what,
                       text.size(), longest);
  }
  return std::nullopt;
}

Complaint fault_of(const EmitterDecision& wish) {
  if (wish.by.empty()) return "nobody decides: say who, in `by`; nothing was decided";
  if (wish.kind == DecisionKind::note && wish.note.empty()) {
    return "the note is empty: write what is worth knowing; nothing was decided";
  }
  if (auto fault = fault_of_text("by", wish.by, kLongestBy)) return fault;
  if (auto fault = fault_of_text("name", wish.name, kLongestName)) return fault;
  return fault_of_text("note", wish.note, kLongestNote);
}

std::vector<std::optional<std::string>> key_of(EmitterKey key) {
  return {std::to_string(key.channel), std::to_string(key.id)};
}

Complaint unless_there(pqxx::work& tx, EmitterKey key) {
  if (!execute(tx, "SELECT FROM emitter WHERE channel_id = $1::bigint AND emitter_id = $2::bigint",
               key_of(key))
           .empty()) {
    return std::nullopt;
  }
  return fmt::format(
      "there is no {}: `fixwright emitters` and the view emitter_latest name those there are; "
      "nothing was decided",
      text_of(key));
}

Complaint refuse_rename(pqxx::work& tx, const EmitterDecision& wish) {
  const auto rows = execute(
      tx, "SELECT name FROM emitter_name WHERE channel_id = $1::bigint AND emitter_id = $2::bigint",
      key_of(wish.emitter));
  const std::string now = rows.empty() ? "" : rows[0][0].as<std::string>();
  if (now != wish.name) return std::nullopt;
  if (now.empty()) return text_of(wish.emitter) + " has no name; nothing was decided";
  return fmt::format("{} is called \"{}\" already; nothing was decided", text_of(wish.emitter),
                     now);
}

Complaint refuse_watch(pqxx::work& tx, const EmitterDecision& wish) {
  const auto standing = read_decisions(
      tx,
      "WHERE channel_id = $1::bigint AND emitter_id = $2::bigint AND kind IN ('watch', 'unwatch') "
      "AND undone_by IS NULL",
      key_of(wish.emitter));
  const bool watched = !standing.empty() && standing.back().kind == DecisionKind::watch;
  if (watched != (wish.kind == DecisionKind::watch)) return std::nullopt;
  if (!watched) return text_of(wish.emitter) + " is not watched; nothing was decided";
  return fmt::format("{} is watched already, by decision {}; nothing was decided",
                     text_of(wish.emitter), standing.back().id);
}

/// Looks up what is to be undone and fills in which emitter that was about.
Complaint aim_undo(pqxx::work& tx, EmitterDecision& wish) {
  const auto found = read_decisions(tx, "WHERE decision_id = $1::bigint",
                                    {std::to_string(wish.undoes.value_or(0))});
  if (found.empty()) {
    return fmt::format(
        "there is no decision {}: `fixwright emitter history` lists an emitter's; nothing was "
        "decided",
        wish.undoes.value_or(0));
  }
  const EmitterDecision& target = found.front();
  if (target.undone_by) {
    return fmt::format("decision {} was taken back already, by decision {}; nothing was decided",
                       target.id, *target.undone_by);
  }
  if (target.undoes) {
    return fmt::format(
        "decision {} takes decision {} back, and that is final: decide anew; nothing was decided",
        target.id, *target.undoes);
  }
  wish.emitter = target.emitter;
  return std::nullopt;
}

std::vector<EmitterDecision> merges_that_stand(pqxx::transaction_base& tx, EmitterKey about) {
  return read_decisions(tx,
                        "WHERE kind = 'merge' AND undone_by IS NULL AND channel_id = $1::bigint "
                        "AND (emitter_id = $2::bigint OR other_emitter_id = $2::bigint)",
                        key_of(about));
}

/// The merge by which it went, if it did.
std::optional<EmitterDecision> merged_away(pqxx::work& tx, EmitterKey key) {
  for (const EmitterDecision& d : merges_that_stand(tx, key)) {
    if (d.other == key.id) return d;
  }
  return std::nullopt;
}

/// And makes the older one the one that stays.
Complaint refuse_merge(pqxx::work& tx, EmitterDecision& wish) {
  const EmitterKey other{wish.emitter.channel, wish.other.value_or(wish.emitter.id)};
  if (other == wish.emitter) {
    return text_of(other) + " is one with itself already; nothing was decided";
  }
  if (auto missing = unless_there(tx, other)) return missing;
  for (const EmitterKey key : {wish.emitter, other}) {
    if (const auto gone = merged_away(tx, key)) {
      return fmt::format(
          "{} is one with {} already, by decision {}: merge that one, or split first; nothing was "
          "decided",
          text_of(key), text_of(gone->emitter), gone->id);
    }
  }
  wish.other = std::max(wish.emitter.id, other.id);
  wish.emitter.id = std::min(wish.emitter.id, other.id);
  return std::nullopt;
}

/// And finds the merge that is taken back.
Complaint refuse_split(pqxx::work& tx, EmitterDecision& wish) {
  const auto standing = merges_that_stand(tx, wish.emitter);
  if (standing.empty()) {
    return text_of(wish.emitter) + " was not merged with another; nothing was decided";
  }
  const auto away = merged_away(tx, wish.emitter);
  if (!away && standing.size() > 1) {
    return fmt::format("{} was merged with {} others: split one of those; nothing was decided",
                       text_of(wish.emitter), standing.size());
  }
  const EmitterDecision& merge = away ? *away : standing.front();
  wish.undoes = merge.id;
  wish.emitter = merge.emitter;
  return std::nullopt;
}

Complaint refuse(pqxx::work& tx, EmitterDecision& wish) {
  if (wish.kind == DecisionKind::undo) return aim_undo(tx, wish);
  if (auto missing = unless_there(tx, wish.emitter)) return missing;
  switch (wish.kind) {
    case DecisionKind::rename:
      return refuse_rename(tx, wish);
    case DecisionKind::watch:
    case DecisionKind::unwatch:
      return refuse_watch(tx, wish);
    case DecisionKind::note:
    case DecisionKind::undo:
      return std::nullopt;
    case DecisionKind::merge:
      return refuse_merge(tx, wish);
    case DecisionKind::split:
      return refuse_split(tx, wish);
  }
  return std::nullopt;
}

/// What becomes of the emitter that goes, as an event with its evidence: a person's word.
void note_event(pqxx::work& tx, const EmitterDecision& decision) {
  const auto merges =
      read_decisions(tx, "WHERE kind = 'merge' AND decision_id IN ($1::bigint, $2::bigint)",
                     {std::to_string(decision.id), std::to_string(decision.undoes.value_or(0))});
  for (const EmitterDecision& merge : merges) {
    const bool made = merge.id == decision.id;
    execute(tx,
            "INSERT INTO emitter_event (channel_id, emitter_id, at, kind, evidence) "
            "VALUES ($1::bigint, $2::bigint, now(), $3, $4) ON CONFLICT DO NOTHING",
            {std::to_string(merge.emitter.channel), std::to_string(merge.other.value_or(0)),
             std::string(made ? "merged" : "split"),
             fmt::format("{} decided that it {} emitter {} (decision {}){}", decision.by,
                         made ? "is one with" : "is not", merge.emitter.id, decision.id,
                         decision.note.empty() ? "" : ": " + decision.note)});
  }
}

void carry_out(pqxx::work& tx, const EmitterDecision& decision) {
  if (decision.undoes) {
    execute(tx, "UPDATE emitter_decision SET undone_by = $2::bigint WHERE decision_id = $1::bigint",
            {std::to_string(*decision.undoes), std::to_string(decision.id)});
  }
  refresh_name(tx, decision.emitter);
  note_event(tx, decision);
}

}  // namespace

Result<EmitterDecision> DecisionBook::decide(EmitterDecision wish) {
  if (auto fault = fault_of(wish)) return Error{*fault};
  return change(database_, [&](pqxx::work& tx) -> Result<EmitterDecision> {
    tx.exec(kOneAtATime);
    if (auto refused = refuse(tx, wish)) return Error{*refused};
    insert_decision(tx, wish);
    carry_out(tx, wish);
    return wish;
  });
}

std::vector<EmitterDecision> DecisionBook::of(EmitterKey emitter) {
  return look(database_, [&](auto& tx) {
    return read_decisions(tx,
                          "WHERE channel_id = $1::bigint AND (emitter_id = $2::bigint OR "
                          "other_emitter_id = $2::bigint)",
                          key_of(emitter));
  });
}

std::vector<EmitterDecision> DecisionBook::after(std::int64_t id) {
  return look(database_, [&](auto& tx) {
    return read_decisions(tx, "WHERE decision_id > $1::bigint", {std::to_string(id)});
  });
}

std::map<EmitterKey, EmitterMarks> DecisionBook::marks() {
  return look(database_, [](auto& tx) {
    std::map<EmitterKey, EmitterMarks> marks;
    for (const pqxx::row& row : tx.exec("SELECT channel_id, emitter_id, name FROM emitter_name")) {
      marks[{row[0].as<ChannelId>(), row[1].as<std::int64_t>()}].name = row[2].as<std::string>();
    }
    for (const EmitterDecision& d :
         read_decisions(tx, "WHERE kind IN ('watch', 'unwatch') AND undone_by IS NULL", {})) {
      marks[d.emitter].watched = d.kind == DecisionKind::watch;
    }
    return marks;
  });
}

Redirects DecisionBook::redirects() {
  return look(database_, [](auto& tx) {
    Redirects redirects;
    for (const EmitterDecision& d :
         read_decisions(tx, "WHERE kind = 'merge' AND undone_by IS NULL", {})) {
      redirects[{d.emitter.channel, d.other.value_or(0)}] = d.emitter;
    }
    for (auto& [gone, kept] : redirects) {  // each step leads to an older one: there is an end
      for (auto next = redirects.find(kept); next != redirects.end(); next = redirects.find(kept)) {
        kept = next->second;
      }
    }
    return redirects;
  });
}

}  // namespace fixwright::store
