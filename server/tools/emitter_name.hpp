#pragma once
/// The name of an emitter, taken apart.

#include <optional>
#include <ostream>
#include <string>
#include <string_view>

#include "server/model/ids.hpp"

namespace fixwright::tools {

/// CHANNEL/ID, the numbers of the view emitter_latest; nothing for other text.
std::optional<EmitterKey> parse_emitter_name(std::string_view text);

/// The same of what a person gave; a line on `err` that begins with `prefix` for other text.
std::optional<EmitterKey> given_emitter(std::string_view prefix, const std::string& text,
                                        std::ostream& err);

}  // namespace fixwright::tools
