#pragma once
/// One line an event, to standard error. Info: state changes. Warn: degraded, will recover.
/// Error: a person must act.
///
///     2031-05-04T10:15:02.250Z warn fixwright-server: store: lost the database; retry in 4 s
///
/// Control characters in a line are shown escaped (text.hpp), so that data can't forge a line;
/// a line past 4000 bytes is cut.

#include <fmt/core.h>

#include <string>
#include <string_view>
#include <utility>

namespace fixwright::log {

enum class Level { debug, info, warn, error };

/// Lines below `level` are dropped. Call once, before threads start.
void start(std::string_view program, Level level);

void write(Level level, std::string_view line);

template <typename... Args>
void info(fmt::format_string<Args...> text, Args&&... args) {
  write(Level::info, fmt::format(text, std::forward<Args>(args)...));
}
template <typename... Args>
void warn(fmt::format_string<Args...> text, Args&&... args) {
  write(Level::warn, fmt::format(text, std::forward<Args>(args)...));
}
template <typename... Args>
void error(fmt::format_string<Args...> text, Args&&... args) {
  write(Level::error, fmt::format(text, std::forward<Args>(args)...));
}

}  // namespace fixwright::log
