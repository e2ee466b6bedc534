#include "server/base/log.hpp"

#include <spdlog/logger.h>
#include <spdlog/pattern_formatter.h>
#include <spdlog/sinks/stdout_sinks.h>

#include <array>
#include <memory>

#include "server/base/text.hpp"

namespace fixwright::log {

namespace {

constexpr std::array kWords{"debug", "info", "warn", "error"};
constexpr std::array kSpdlogLevels{spdlog::level::debug, spdlog::level::info, spdlog::level::warn,
                                   spdlog::level::err};

std::unique_ptr<spdlog::logger> make_logger(std::string_view program, Level level) {
  auto logger = std::make_unique<spdlog::logger>(std::string{program},
                                                 std::make_shared<spdlog::sinks::stderr_sink_mt>());
  // The level is in the message, by our own word.
  logger->set_pattern("%Y-%m-%dT%H:%M:%S.%eZ %v", spdlog::pattern_time_type::utc);
  logger->set_level(kSpdlogLevels.at(static_cast<std::size_t>(level)));
  return logger;
}

std::unique_ptr<spdlog::logger>& logger() {
  static std::unique_ptr<spdlog::logger> the_logger = make_logger("fixwright", Level::info);
  return the_logger;
}

}  // namespace

void start(std::string_view program, Level level) { logger() = make_logger(program, level); }

void write(Level level, std::string_view line) {
  const auto index = static_cast<std::size_t>(level);
  if (!logger()->should_log(kSpdlogLevels.at(index))) return;
  logger()->log(kSpdlogLevels.at(index), "{} {}: {}", kWords.at(index), logger()->name(),
                one_line(line));
}

}  // namespace fixwright::log
