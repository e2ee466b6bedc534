#pragma once
/// Bearings from the text of an external direction finder.

#include <memory>
#include <string_view>

#include "server/base/clock.hpp"
#include "server/base/result.hpp"
#include "station_agent/source/lines/line_input.hpp"
#include "station_agent/source/source.hpp"

namespace fixwright::agent {

/// Opens the input that the configuration names. The clock must outlive the source.
/// \param mark  SourceBatch::mark of an earlier life, or empty.
/// Fails with one line when an address can't be had.
Result<std::unique_ptr<Source>> open_lines_source(const LinesConfig& config, std::string_view mark,
                                                  const Clock& clock);

}  // namespace fixwright::agent
