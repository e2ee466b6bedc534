#pragma once
/// `fixwright emitter`: what a person decides about an emitter, written into the database; a
/// running server notices within a second or two.

#include <ostream>
#include <string>

#include "server/model/decision.hpp"

namespace fixwright::tools {

struct DecideOptions {
  std::string database;  // as libpq takes it
  std::string emitter;   // CHANNEL/ID; empty for an undo
  std::string other;     // CHANNEL/ID, of a merge
  EmitterDecision wish;  // its emitter is filled in from the above
};

/// \return 0; 1 when it can't be decided; 2 when an option or the database can't be used; each
/// with one line on `err`.
int run_decide(const DecideOptions& options, std::ostream& out, std::ostream& err);

struct HistoryOptions {
  std::string database;
  std::string emitter;  // CHANNEL/ID
};

/// What happened to an emitter and what was decided about it, oldest first. \return as above.
int run_history(const HistoryOptions& options, std::ostream& out, std::ostream& err);

/// Who decides, if nothing else is said: as the environment variable USER has it, else the name of
/// the account; empty if it has none.
std::string account_name();

}  // namespace fixwright::tools
