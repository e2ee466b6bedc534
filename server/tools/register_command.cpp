#include "server/tools/register_command.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <exception>
#include <fstream>
#include <iostream>

#include "server/register/difference.hpp"
#include "server/register/register_csv.hpp"
#include "server/store/register_book.hpp"
#include "server/tools/licence_table.hpp"
#include "server/tools/with_database.hpp"

namespace fixwright::tools {

namespace {

constexpr std::size_t kMostComplaints = 100;
constexpr std::size_t kSamples = 5;

Result<register_::RegisterMapping> mapping_of(const RegisterImportOptions& options) {
  auto mapping = options.mapping.empty()
                     ? Result<register_::RegisterMapping>{register_::own_columns()}
                     : register_::read_mapping(options.mapping);
  if (!mapping || !options.position_sigma_m) return mapping;
  register_::RegisterMapping changed = *mapping;
  changed.position_sigma_m = *options.position_sigma_m;
  return changed;
}

void complain(const register_::RegisterCsv& csv, bool all, std::ostream& err) {
  const std::size_t shown =
      all ? csv.refused.size() : std::min(csv.refused.size(), kMostComplaints);
  for (std::size_t i = 0; i < shown; ++i) err << csv.refused[i] << '\n';
  if (csv.refused.size() > shown) {
    err << fmt::format("and {} more rows\n", csv.refused.size() - shown);
  }
}

std::string counts_of(const RegisterDifference& d) {
  return fmt::format("{} added, {} changed, {} ended, {} unchanged", d.added.size(),
                     d.changed.size(), d.ended.size(), d.unchanged);
}

void show_samples(const register_::RegisterCsv& csv, std::ostream& out) {
  if (csv.licences.empty()) return;
  const std::size_t shown = std::min(csv.licences.size(), kSamples);
  out << "The first as they were understood:\n"
      << licence_table(std::span{csv.licences}.first(shown));
}

void show_changes(const RegisterDifference& d, std::ostream& out) {
  for (std::size_t i = 0; i < std::min(d.changed.size(), kSamples); ++i) {
    out << fmt::format("changed {}: {}\n", d.changed[i].before.id,
                       register_::change_text(d.changed[i].before, d.changed[i].after));
  }
  for (std::size_t i = 0; i < std::min(d.ended.size(), kSamples); ++i) {
    out << fmt::format("ended {}\n", d.ended[i].id);
  }
}

/// One import on its way: what was read, and what comes of it.
struct Import {
  const std::string& name;
  const RegisterImportOptions& options;
  const register_::RegisterCsv& csv;
  std::ostream& out;
  std::ostream& err;

  [[nodiscard]] int exit_code() const { return csv.refused.empty() ? 0 : 1; }
  [[nodiscard]] std::string counts() const {
    return fmt::format("{} licences, {} rows refused", csv.licences.size(), csv.refused.size());
  }
};

int dry_run(const Import& import, const RegisterTarget* target) {
  import.out << fmt::format("{}: {}; dry run, nothing was written\n", import.name, import.counts());
  show_samples(import.csv, import.out);
  if (target != nullptr) {
    const auto d =
        register_::difference(target->licences(), import.csv.licences, import.csv.refused_ids);
    import.out << fmt::format("against the register: {}\n", counts_of(d));
    show_changes(d, import.out);
  }
  return import.exit_code();
}

int write(const Import& import, const RegisterTarget& target) {
  const auto d =
      register_::difference(target.licences(), import.csv.licences, import.csv.refused_ids);
  if (register_::ends_too_many(d) && !import.options.end_many) {
    import.err << fmt::format(
        "{}: {}; nothing was written: is the file whole? If it is, import it with --end-many\n",
        import.name, counts_of(d));
    return 1;
  }
  RegisterImport note;
  note.source = import.name;
  note.refused = import.csv.refused.size();
  const RegisterImport done = target.import(d, note);
  import.out << fmt::format("{}: {}; import {}: {}; a running server reads it within seconds\n",
                            import.name, import.counts(), done.id, counts_of(d));
  return import.exit_code();
}

}  // namespace

int run_register_import(std::istream& in, const std::string& name,
                        const RegisterImportOptions& options, const RegisterTarget* target,
                        std::ostream& out, std::ostream& err) {
  const auto mapping = mapping_of(options);
  if (!mapping) {
    err << mapping.error() << '\n';
    return 2;
  }
  const auto csv = register_::read_register_csv(in, name, *mapping);
  if (!csv) {
    err << csv.error() << '\n';
    return 2;
  }
  complain(*csv, options.dry_run, err);
  const Import import{name, options, *csv, out, err};
  if (!csv->refused.empty() && !options.skip_refused && !options.dry_run) {
    err << fmt::format(
        "{}: {}; nothing was written: mend the rows, or import the others with "
        "--skip-refused\n",
        name, import.counts());
    return 1;
  }
  try {
    return options.dry_run || target == nullptr ? dry_run(import, target) : write(import, *target);
  } catch (const std::exception& error) {
    err << fmt::format("register: nothing was written: {}\n", error.what());
    return 2;
  }
}

int run_register_import(const RegisterImportOptions& options, std::ostream& out,
                        std::ostream& err) {
  if (options.database.empty() && !options.dry_run) {
    err << "register: no database; give --database, or --dry-run to only read\n";
    return 2;
  }
  std::ifstream file;
  const bool standard = options.input == "-";
  if (!standard) file.open(options.input, std::ios::binary);
  if (!standard && !file) {
    err << fmt::format("{}: cannot be read; give a CSV file, or - for standard input\n",
                       options.input);
    return 2;
  }
  std::istream& in = standard ? std::cin : file;
  const std::string name = standard ? "stdin" : options.input;
  if (options.database.empty()) return run_register_import(in, name, options, nullptr, out, err);
  return with_database("register", options.database, err, [&](store::Database& database) {
    store::RegisterBook book{database};
    const std::int64_t seen = book.state().imports;
    const RegisterTarget target{[&] { return book.licences(); },
                                [&](const RegisterDifference& d, const RegisterImport& note) {
                                  return book.import(d, note, seen);
                                }};
    return run_register_import(in, name, options, &target, out, err);
  });
}

}  // namespace fixwright::tools
