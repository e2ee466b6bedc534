#pragma once
/// `fixwright register import`: a regulator's CSV file into the register. The columns:
/// server/register/register_csv.hpp; other people's by a mapping file.

#include <functional>
#include <istream>
#include <optional>
#include <ostream>
#include <string>
#include <vector>

#include "server/model/register_import.hpp"
#include "server/register/mapping.hpp"

namespace fixwright::tools {

struct RegisterImportOptions {
  std::string input = "-";                 // a path, or - for standard input
  std::string database;                    // as libpq takes it
  std::string mapping;                     // a path; empty: our own columns
  std::optional<double> position_sigma_m;  // in place of the mapping's
  bool dry_run = false;                    // read and report, write nothing
  bool skip_refused = false;               // import the other rows all the same
  bool end_many = false;                   // the file is whole, though it ends many entries
};

/// The register to be changed. Both throw std::exception when it can't be reached.
struct RegisterTarget {
  std::function<std::vector<Licence>()> licences;  // as they are
  std::function<RegisterImport(const RegisterDifference&, const RegisterImport& note)> import;
};

/// Rows that were refused go to `err`, one line each, the first hundred (in a dry run all); then
/// nothing is written, unless skip_refused: their entries then stay as they are.
/// \return 0: done; 1: rows were refused, or the file would end a fifth of the register, and
/// nothing was written, or with skip_refused the rest; 2: the input, the mapping or the database
/// can't be used.
int run_register_import(const RegisterImportOptions& options, std::ostream& out, std::ostream& err);

/// The same from a stream into a target; none: a dry run without the register.
int run_register_import(std::istream& in, const std::string& name,
                        const RegisterImportOptions& options, const RegisterTarget* target,
                        std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
