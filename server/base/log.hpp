#pragma once
/// One line an event, to standard error. Info: state changes. Warn: degraded, will recover.
/// Error: a person must act.

#include <fmt/core.h>

#include <string>
#include <string_view>

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
