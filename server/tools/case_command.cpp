#include "server/tools/case_command.hpp"

#include <fmt/core.h>

#include <optional>
#include <vector>

#include "server/base/clock.hpp"
#include "server/base/text.hpp"
#include "server/report/case_report.hpp"
#include "server/report/table.hpp"
#include "server/store/case_book.hpp"
#include "server/store/evidence.hpp"
#include "server/tools/emitter_name.hpp"
#include "server/tools/given_place.hpp"
#include "server/tools/given_time.hpp"
#include "server/tools/output_file.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

constexpr std::chrono::hours kUsualStretch{24};

/// The line of a Result that is none, as an exit code.
template <typename T>
int exit_code(const Result<T>& result, std::ostream& err) {
  if (result) return 0;
  err << "case: " << result.error() << '\n';
  return 1;
}

/// Nothing, with a line on `err`, when an option is wrong.
std::optional<CaseFile> wish_of(const CaseOptions& options, std::ostream& err) {
  CaseFile c;
  c.opened_by = options.by;
  c.question = options.text;
  c.complaint = options.complaint;
  c.alert = options.alert;
  const auto until = given_time("--until", options.until, SystemClock{}.now(), err);
  if (!until) return std::nullopt;
  const auto since = given_time("--since", options.since, *until - kUsualStretch, err);
  if (!since) return std::nullopt;
  c.since = *since;
  c.until = *until;
  if (options.frequency_mhz > 0.0) c.frequency_hz = options.frequency_mhz * 1e6;
  if (options.place.empty()) return c;
  c.place = given_place("case: --place", options.place, err);
  if (!c.place) return std::nullopt;
  c.radius_m = options.radius_km * 1000.0;
  return c;
}

std::string key_text(EmitterKey key) { return fmt::format("{}/{}", key.channel, key.id); }

void print(const Case& c, std::ostream& out) {
  const CaseFile& f = c.file;
  out << fmt::format("case {}, {}\n{}\n", f.id, f.closed_at ? "closed" : "open", f.question);
  if (!f.complaint.empty()) out << "told: " << f.complaint << '\n';
  out << fmt::format("about {} to {}\n", format_rfc3339(f.since, 0), format_rfc3339(f.until, 0));
  std::vector<std::vector<std::string>> rows{{"EMITTER", "ADDED BY", "WHY"}};
  for (const auto& e : c.emitters) rows.push_back({key_text(e.emitter), e.added_by, e.why});
  out << report::text_table(rows);
  rows = {{"TIME", "BY", "NOTE"}, {format_rfc3339(f.opened_at, 0), f.opened_by, "opened"}};
  for (const auto& n : c.notes) rows.push_back({format_rfc3339(n.at, 0), n.by, n.note});
  if (f.closed_at) {
    rows.push_back({format_rfc3339(*f.closed_at, 0), f.closed_by, "closed: " + f.outcome});
  }
  out << report::text_table(rows);
}

/// Runs `work` on the case; a line when there is none.
template <typename Work>
int with_case(const CaseOptions& options, std::ostream& err, Work work) {
  return with_database("case", options.database, err, [&](store::Database& database) {
    const auto found = store::CaseBook(database).read(options.id);
    if (found) return work(database, *found);
    err << fmt::format("case: there is no case {}\n", options.id);
    return 1;
  });
}

}  // namespace

int run_case_open(const CaseOptions& options, std::ostream& out, std::ostream& err) {
  const auto wish = wish_of(options, err);
  if (!wish) return 2;
  std::vector<EmitterKey> emitters;
  if (!options.emitter.empty()) {
    const auto key = given_emitter("case: ", options.emitter, err);
    if (!key) return 2;
    emitters.push_back(*key);
  }
  return with_database("case", options.database, err, [&](store::Database& database) {
    store::CaseBook book(database);
    const auto id = book.open(*wish, emitters);
    if (!id) return exit_code(id, err);
    print(*book.read(*id), out);
    return 0;
  });
}

int run_case_list(const CaseOptions& options, std::ostream& out, std::ostream& err) {
  return with_database("case", options.database, err, [&](store::Database& database) {
    std::vector<std::vector<std::string>> rows{{"CASE", "STATE", "OPENED", "BY", "QUESTION"}};
    for (const CaseFile& c : store::CaseBook(database).list()) {
      rows.push_back({std::to_string(c.id), c.closed_at ? "closed" : "open",
                      format_rfc3339(c.opened_at, 0), c.opened_by, c.question});
    }
    out << report::text_table(rows);
    return 0;
  });
}

int run_case_show(const CaseOptions& options, std::ostream& out, std::ostream& err) {
  return with_case(options, err, [&](store::Database&, const Case& c) {
    print(c, out);
    return 0;
  });
}

int run_case_add(const CaseOptions& options, std::ostream& /*out*/, std::ostream& err) {
  const auto key = given_emitter("case: ", options.emitter, err);
  if (!key) return 2;
  return with_database("case", options.database, err, [&](store::Database& database) {
    return exit_code(store::CaseBook(database).add(options.id, {*key, options.by, options.text}),
                     err);
  });
}

int run_case_note(const CaseOptions& options, std::ostream& /*out*/, std::ostream& err) {
  return with_database("case", options.database, err, [&](store::Database& database) {
    return exit_code(store::CaseBook(database).note(options.id, {{}, options.by, options.text}),
                     err);
  });
}

int run_case_close(const CaseOptions& options, std::ostream& /*out*/, std::ostream& err) {
  return with_database("case", options.database, err, [&](store::Database& database) {
    return exit_code(store::CaseBook(database).close(options.id, options.by, options.text), err);
  });
}

int run_case_report(const CaseOptions& options, std::ostream& out, std::ostream& err) {
  return with_case(options, err, [&](store::Database& database, const Case& c) {
    std::vector<EmitterEvidence> emitters;
    for (const CaseEmitter& e : c.emitters) {
      auto evidence = store::read_evidence(database, {e.emitter, c.file.since, c.file.until});
      if (evidence) emitters.push_back(*std::move(evidence));
    }
    const std::string html = report::case_report(c, emitters, options.by, SystemClock{}.now());
    return put_output("case", html, options.output, out, err);
  });
}

}  // namespace fixwright::tools
