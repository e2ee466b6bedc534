#pragma once
/// `fixwright explain`: how one fix of a CSV log, or of the database, came about, for a person
/// who doubts it.

#include <istream>
#include <ostream>
#include <string>

#include "server/tools/locate_command.hpp"

namespace fixwright::tools {

struct ExplainOptions {
  LocateOptions locate{};  // input and rules; its format is not used
  /// As libpq takes it; empty: explain a CSV log.
  std::string database{};
  /// The server's configuration, for its rules; empty: those of `locate`.
  std::string config{};
  /// As `fixwright locate` names it, or for the database CHANNEL/TRANSMISSION/ORDINAL with the
  /// numbers of the view fix_latest. Empty: the first of the log, the newest accepted one of the
  /// database.
  std::string fix{};
  std::string svg{};  // a file to draw it into; empty: none
};

/// Each bearing with residual, weight and verdict; geometry, region, and why it was accepted or
/// refused.
/// \return 0; 2 when the input can't be read, has no such fix, or the drawing can't be written.
int run_explain(const ExplainOptions& options, std::ostream& out, std::ostream& err);
int run_explain(std::istream& in, const std::string& name, const ExplainOptions& options,
                std::ostream& out, std::ostream& err);

/// From the database: what was stored, and beside it the same bearings crossed afresh by the rules
/// given, so that a person sees whether they agree. \pre options.database is not empty.
int run_explain_stored(const ExplainOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
