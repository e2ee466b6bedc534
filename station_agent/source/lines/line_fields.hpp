#pragma once
/// From one line of text to the texts of its fields. Pure: no transport, no clock.

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/result.hpp"
#include "station_agent/source/lines/line_mapping.hpp"

namespace fixwright::agent {

/// The text of each field that the line gives, without blanks around it. An empty column and a
/// JSON null are fields not given.
using FieldTexts = std::array<std::optional<std::string>, kFieldCount>;

/// The cells of a line, without blanks around them. Quotes as in RFC 4180; fails on a quote
/// that is never closed.
Result<std::vector<std::string>> split_delimited(std::string_view line, const TextFormat& format);

/// Fails with one line on: wrong encoding, not a JSON object, too few columns.
Result<FieldTexts> read_fields(std::string_view line, const LineMapping& mapping);

}  // namespace fixwright::agent
