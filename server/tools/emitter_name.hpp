#pragma once
/// The name of an emitter, taken apart.

#include <optional>
#include <string_view>

#include "server/model/ids.hpp"

namespace fixwright::tools {

/// CHANNEL/ID, the numbers of the view emitter_latest; nothing for other text.
std::optional<EmitterKey> parse_emitter_name(std::string_view text);

}  // namespace fixwright::tools
