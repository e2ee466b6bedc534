#pragma once
/// `fixwright explain`: how one fix of a CSV log came about, for a person who doubts it.

#include <istream>
#include <ostream>
#include <string>

#include "server/tools/locate_command.hpp"

namespace fixwright::tools {

struct ExplainOptions {
  LocateOptions locate;  // input and rules; its format is not used
  std::string fix;       // as `fixwright locate` names it; empty: the first of the log
  std::string svg;       // a file to draw it into; empty: none
};

/// Each bearing with residual, weight and verdict; geometry, region, and why it was accepted or
/// refused.
/// \return 0; 2 when the input can't be read, has no such fix, or the drawing can't be written.
int run_explain(const ExplainOptions& options, std::ostream& out, std::ostream& err);
int run_explain(std::istream& in, const std::string& name, const ExplainOptions& options,
                std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
