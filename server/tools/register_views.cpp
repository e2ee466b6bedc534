#include "server/tools/register_views.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "server/base/text.hpp"
#include "server/register/difference.hpp"
#include "server/report/table.hpp"
#include "server/store/register_book.hpp"
#include "server/tools/emitter_name.hpp"
#include "server/tools/licence_table.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

constexpr double kNear_hz = 25e3;

bool wanted(const Licence& l, const RegisterListOptions& options) {
  const auto holds = [&](const std::string& text) {
    return text.find(options.text) != std::string::npos;
  };
  if (!holds(l.id) && !holds(l.holder) && !holds(l.service)) return false;
  return !options.frequency_mhz ||
         std::abs(l.frequency_hz - *options.frequency_mhz * 1e6) <= l.bandwidth_hz / 2.0 + kNear_hz;
}

std::string import_text(std::int64_t id) {
  return id == 0 ? "before imports were kept" : fmt::format("import {}", id);
}

std::string end_text(const LicenceVersion& v) {
  if (!v.until_import) return "stands";
  return fmt::format("{} by import {} at {}", v.ended ? "ended" : "changed", *v.until_import,
                     format_rfc3339(*v.until_at, 0));
}

int none(const std::string& id, std::ostream& err) {
  err << fmt::format(
      "register: there is and was no entry {}; `fixwright register list` names those "
      "there are\n",
      one_line(id, 100));
  return 1;
}

std::optional<RegisterVerdict> verdict_named(std::string_view word) {
  for (int i = 0; i <= static_cast<int>(RegisterVerdict::undecided); ++i) {
    const auto verdict = static_cast<RegisterVerdict>(i);
    if (to_string(verdict) == word) return verdict;
  }
  return std::nullopt;
}

}  // namespace

int run_register_list(const RegisterListOptions& options, std::ostream& out, std::ostream& err) {
  return with_database("register", options.database, err, [&](store::Database& database) {
    std::vector<Licence> licences = store::RegisterBook{database}.licences();
    std::erase_if(licences, [&](const Licence& l) { return !wanted(l, options); });
    const std::size_t found = licences.size();
    licences.resize(std::min(found, options.limit));
    out << licence_table(licences);
    if (found > licences.size()) {
      out << fmt::format("and {} more; see --limit\n", found - licences.size());
    }
    return 0;
  });
}

int run_register_show(const RegisterEntryOptions& options, std::ostream& out, std::ostream& err) {
  return with_database("register", options.database, err, [&](store::Database& database) {
    const auto versions = store::RegisterBook{database}.versions(options.id);
    if (versions.empty()) return none(options.id, err);
    const LicenceVersion& last = versions.back();
    out << licence_table(std::span{&last.licence, 1});
    out << fmt::format("service: {}\nfrom {}; {}\n", one_line(last.licence.service),
                       import_text(last.from_import), end_text(last));
    return 0;
  });
}

int run_register_history(const RegisterEntryOptions& options, std::ostream& out,
                         std::ostream& err) {
  return with_database("register", options.database, err, [&](store::Database& database) {
    const auto versions = store::RegisterBook{database}.versions(options.id);
    if (versions.empty()) return none(options.id, err);
    const LicenceVersion* before = nullptr;
    for (const LicenceVersion& v : versions) {
      const std::string what = before == nullptr || before->ended
                                   ? "new"
                                   : one_line(register_::change_text(before->licence, v.licence));
      out << fmt::format("{}: {}; {}\n", import_text(v.from_import), what, end_text(v));
      before = &v;
    }
    return 0;
  });
}

int run_register_imports(const RegisterEntryOptions& options, std::ostream& out,
                         std::ostream& err) {
  return with_database("register", options.database, err, [&](store::Database& database) {
    std::vector<std::vector<std::string>> rows{
        {"IMPORT", "AT", "ADDED", "CHANGED", "ENDED", "UNCHANGED", "REFUSED", "FILE"}};
    for (const RegisterImport& i : store::RegisterBook{database}.imports()) {
      rows.push_back({std::to_string(i.id), format_rfc3339(i.at, 0), std::to_string(i.added),
                      std::to_string(i.changed), std::to_string(i.ended),
                      std::to_string(i.unchanged), std::to_string(i.refused), i.source});
    }
    out << report::text_table(rows);
    return 0;
  });
}

int run_register_decide(const RegisterDecideOptions& options, std::ostream& out,
                        std::ostream& err) {
  RegisterOpinion wish = options.wish;
  const auto key = parse_emitter_name(options.emitter);
  if (!key) {
    err << fmt::format("emitter = \"{}\": must be CHANNEL/ID, as `fixwright emitters` names it\n",
                       one_line(options.emitter, 100));
    return 2;
  }
  wish.emitter = *key;
  wish.verdict = verdict_named(options.verdict);
  if (!wish.verdict && options.verdict != "register") {
    err << fmt::format(
        "verdict = \"{}\": must be registered, unregistered, position_disagrees, off_frequency, "
        "out_of_validity or undecided; or register, to go by the register again\n",
        one_line(options.verdict, 100));
    return 2;
  }
  return with_database("register", options.database, err, [&](store::Database& database) {
    const auto decided = store::RegisterBook{database}.decide(wish);
    if (!decided) {
      err << "register: " << decided.error() << '\n';
      return 1;
    }
    out << fmt::format(
        "emitter {}: {} decided {}\n", options.emitter, one_line(wish.by),
        wish.verdict ? std::string{to_string(*wish.verdict)} : "to go by the register again");
    return 0;
  });
}

}  // namespace fixwright::tools
