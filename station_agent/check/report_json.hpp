#pragma once
/// A report for machines.

#include <string>

#include "station_agent/check/finding.hpp"

namespace fixwright::agent::check {

/// One JSON object and a line's end:
///
///     {"format": 1, "station": "LANTERN-HEAD", "source": "iq", "at": "2031-05-04T10:15:02Z",
///      "severity": "warning", "exit_code": 1,
///      "findings": [{"area": "spacing", "severity": "ok", "what": "...", "to_do": "...",
///                    "figures": {"spacing_wavelengths_low": 0.42}}],
///      "cautions": ["..."]}
///
/// severity: not_applicable, ok, advice, warning or fault; of the whole the worst one. to_do may be
/// empty. Names of figures carry the unit; an infinite figure is null. Later versions may add keys,
/// areas and figures; `format` changes when one goes.
std::string json_of(const Report& report);

}  // namespace fixwright::agent::check
