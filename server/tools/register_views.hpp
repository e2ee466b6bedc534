#pragma once
/// `fixwright register list|show|history|imports|decide`: the register as it is and was, and a
/// person's word on an emitter.

#include <optional>
#include <ostream>
#include <string>

#include "server/model/register_import.hpp"

namespace fixwright::tools {

struct RegisterListOptions {
  std::string database;
  std::string text;                     // in id, holder or service; empty: any
  std::optional<double> frequency_mhz;  // in the band, or near it by 25 kHz
  std::size_t limit = 100;              // 1 to 1e6
};

struct RegisterEntryOptions {
  std::string database;
  std::string id;
};

struct RegisterDecideOptions {
  std::string database;
  std::string emitter;  // CHANNEL/ID
  std::string verdict;  // a word of the register, or "register": as the register says
  RegisterOpinion wish;
};

/// Each \return 0; 1 when there is no such thing; 2 when an option or the database can't be used;
/// with one line on `err`.
int run_register_list(const RegisterListOptions& options, std::ostream& out, std::ostream& err);
/// The entry as it stands, or last stood.
int run_register_show(const RegisterEntryOptions& options, std::ostream& out, std::ostream& err);
/// Its versions, oldest first, and what changed from one to the next.
int run_register_history(const RegisterEntryOptions& options, std::ostream& out, std::ostream& err);
/// Imports, newest first. Of the options only the database.
int run_register_imports(const RegisterEntryOptions& options, std::ostream& out, std::ostream& err);
int run_register_decide(const RegisterDecideOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
