#include "server/tools/emitter_command.hpp"

#include <fmt/core.h>
#include <pwd.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>

#include "server/base/text.hpp"
#include "server/report/table.hpp"
#include "server/store/decision_book.hpp"
#include "server/store/reader.hpp"
#include "server/tools/emitter_name.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

std::string text_of(EmitterKey key) { return fmt::format("{}/{}", key.channel, key.id); }

std::string outcome(const EmitterDecision& d) {
  switch (d.kind) {
    case DecisionKind::rename:
      return d.name.empty() ? "has no name now" : fmt::format("is called \"{}\" now", d.name);
    case DecisionKind::note:
      return "has a note";
    case DecisionKind::watch:
      return "is watched now";
    case DecisionKind::unwatch:
      return "is not watched any more";
    case DecisionKind::merge:
      return fmt::format("is one with emitter {}/{} now", d.emitter.channel, d.other.value_or(0));
    case DecisionKind::split:
    case DecisionKind::undo:
      break;
  }
  return fmt::format("is as it was before decision {}", d.undoes.value_or(0));
}

std::string account_of(const EmitterDecision& d) {
  std::string text = d.kind == DecisionKind::rename ? fmt::format("\"{}\"", d.name) : "";
  if (d.other) text = fmt::format("with {}/{}", d.emitter.channel, *d.other);
  if (d.undoes) text = fmt::format("decision {}", *d.undoes);
  if (!d.note.empty()) text += (text.empty() ? "" : ": ") + d.note;
  if (d.undone_by) text += fmt::format(" (taken back by decision {})", *d.undone_by);
  return text;
}

struct HistoryLine {
  TimePoint at;
  std::vector<std::string> cells;
};

std::vector<std::vector<std::string>> history_rows(const std::vector<EmitterEvent>& events,
                                                   const std::vector<EmitterDecision>& decisions) {
  std::vector<HistoryLine> lines;
  for (const EmitterEvent& e : events) {
    lines.push_back(
        {e.at, {format_rfc3339(e.at), "", std::string(to_string(e.kind)), "", e.evidence}});
  }
  for (const EmitterDecision& d : decisions) {
    lines.push_back({d.at,
                     {format_rfc3339(d.at), std::to_string(d.id), std::string(to_string(d.kind)),
                      d.by, account_of(d)}});
  }
  std::stable_sort(lines.begin(), lines.end(),
                   [](const HistoryLine& a, const HistoryLine& b) { return a.at < b.at; });
  std::vector<std::vector<std::string>> rows{{"TIME", "DECISION", "WHAT", "BY", "WHY"}};
  for (HistoryLine& line : lines) rows.push_back(std::move(line.cells));
  return rows;
}

bool read_other(const std::string& text, EmitterDecision& wish, std::ostream& err) {
  const auto other = given_emitter("", text, err);
  if (!other) return false;
  if (other->channel != wish.emitter.channel) {
    err << fmt::format(
        "emitters {} and {} are on two channels: only emitters of one channel can be one; nothing "
        "was decided\n",
        text_of(wish.emitter), text_of(*other));
    return false;
  }
  wish.other = other->id;
  return true;
}

}  // namespace

int run_decide(const DecideOptions& options, std::ostream& out, std::ostream& err) {
  EmitterDecision wish = options.wish;
  if (wish.kind != DecisionKind::undo) {
    const auto key = given_emitter("", options.emitter, err);
    if (!key) return 2;
    wish.emitter = *key;
  }
  if (wish.kind == DecisionKind::merge && !read_other(options.other, wish, err)) return 2;
  return with_database("emitter", options.database, err, [&](store::Database& database) {
    const auto decided = store::DecisionBook(database).decide(wish);
    if (!decided) {
      err << decided.error() << '\n';
      return 1;
    }
    out << fmt::format(
        "decision {}: emitter {} {}{}\n", decided->id, text_of(decided->emitter), outcome(*decided),
        decided->undoes ? ""
                        : fmt::format("; `fixwright emitter undo {}` takes it back", decided->id));
    return 0;
  });
}

int run_history(const HistoryOptions& options, std::ostream& out, std::ostream& err) {
  const auto key = given_emitter("", options.emitter, err);
  if (!key) return 2;
  return with_database("emitter", options.database, err, [&](store::Database& database) {
    store::Reader reader(database);
    if (!reader.emitter(*key)) {
      err << fmt::format("there is no emitter {}: `fixwright emitters` names those there are\n",
                         text_of(*key));
      return 1;
    }
    out << report::text_table(
        history_rows(reader.events(*key), store::DecisionBook(database).of(*key)));
    return 0;
  });
}

std::string account_name() {
  if (const char* const user = std::getenv("USER"); user != nullptr && *user != '\0') {
    return user;
  }
  const passwd* const entry = getpwuid(geteuid());  // services have no USER
  return entry == nullptr ? std::string{} : std::string{entry->pw_name};
}

}  // namespace fixwright::tools
