#pragma once
/// A time that a person gave.

#include <optional>
#include <ostream>
#include <string>
#include <string_view>

#include "server/base/time.hpp"

namespace fixwright::tools {

/// RFC 3339; `none_given` when the text is empty; nothing, with a line on `err`, when it is no
/// time.
std::optional<TimePoint> given_time(std::string_view option, const std::string& text,
                                    TimePoint none_given, std::ostream& err);

}  // namespace fixwright::tools
