#pragma once
/// `fixwright register import`: the register of licensed transmitters from a CSV file into the
/// database, the whole of it at once. The columns: server/register/register_csv.hpp.

#include <functional>
#include <istream>
#include <ostream>
#include <span>
#include <string>

#include "server/model/licence.hpp"
#include "server/register/register_csv.hpp"

namespace fixwright::tools {

struct RegisterImportOptions {
  std::string input = "-";  // a path, or - for standard input
  std::string database;     // as libpq takes it
  register_::RegisterCsvRules rules;
  bool dry_run = false;       // read and report, write nothing
  bool skip_refused = false;  // import the other rows all the same
};

/// What puts the licences in place of those there were; throws std::exception when it can't.
using LicenceSink = std::function<void(std::span<const Licence>)>;

/// Rows that were refused go to `err`, one line each, the first hundred; then nothing is written,
/// unless skip_refused: a register with holes calls licensed emitters "not found".
/// \return 0: done; 1: rows were refused (and nothing written, or the rest); 2: the input or the
/// database can't be used.
int run_register_import(const RegisterImportOptions& options, std::ostream& out, std::ostream& err);

/// The same from a stream into a sink.
int run_register_import(std::istream& in, const std::string& name,
                        const RegisterImportOptions& options, const LicenceSink& sink,
                        std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
