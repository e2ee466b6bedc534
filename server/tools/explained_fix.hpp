#pragma once
/// One fix with all that led to it, as text and as a drawing.

#include <ostream>
#include <string>
#include <vector>

#include "server/locate/locate_transmission.hpp"
#include "server/model/ids.hpp"
#include "server/tools/station_names.hpp"

namespace fixwright::tools {

struct ExplainedFix {
  FixKey key;
  double frequency_hz = 0.0;
  locate::GroupFix group;
  StationNames names;
  std::vector<std::string> remarks;  // one line each, where it came from and what to mind
};

/// Verdict, place, region, residuals, geometry; then each bearing with residual, weight, verdict.
void write_fix(const ExplainedFix& explained, std::ostream& out);

/// The drawing into a file; an empty path asks for none.
/// \return false, with one line to `err`, when it can't be written.
bool draw(const ExplainedFix& explained, const std::string& path, std::ostream& err);

}  // namespace fixwright::tools
