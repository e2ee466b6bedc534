#pragma once
/// The name of a fix, taken apart.

#include <optional>
#include <string_view>

#include "server/model/ids.hpp"

namespace fixwright::tools {

/// CHANNEL/START/ORDINAL, START in RFC 3339 as report::fix_text writes it, or as the column
/// transmission_id has it, in ns since 1970; nothing for other text.
std::optional<FixKey> parse_fix_name(std::string_view text);

}  // namespace fixwright::tools
