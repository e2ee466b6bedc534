#pragma once
/// From one line of text to a bearing in our units and frames. Pure: any bytes may be given;
/// the answer is a bearing in range or one line that says which value broke which rule.

#include <optional>
#include <string_view>

#include "server/base/result.hpp"
#include "server/base/time.hpp"
#include "station_agent/source/lines/line_fields.hpp"
#include "station_agent/source/lines/line_mapping.hpp"
#include "station_agent/source/source.hpp"

namespace fixwright::agent {

/// \param mapping  of delimited text: bound to its columns, see line_mapping.hpp.
/// \param arrival  when the line came; the bearing's time where the sender gives none.
Result<SourceBearing> parse_line(std::string_view line, const LineMapping& mapping,
                                 TimePoint arrival);

/// Whether the line is a bearing by the mapping's selector.
bool is_selected(const FieldTexts& texts, const LineMapping& mapping);

Result<SourceBearing> to_bearing(const FieldTexts& texts, const LineMapping& mapping,
                                 TimePoint arrival);

/// The azimuth from true north, [0, 360), of what the sender wrote. `heading_deg` is where the
/// array's carrier points, clockwise from the reference.
double true_azimuth_deg(double raw, double heading_deg, const AzimuthConvention& convention);

}  // namespace fixwright::agent
