#pragma once
/// Hours and minutes of a clock on the wall.

#include <optional>
#include <string_view>

namespace fixwright {

/// "22:30" is 1350; nothing for what is no hour.
std::optional<int> parse_minute_of_day(std::string_view text);

}  // namespace fixwright
