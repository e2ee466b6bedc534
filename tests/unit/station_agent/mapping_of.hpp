#pragma once
/// Line mappings for tests, from TOML as an operator writes it.

#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "server/base/config.hpp"
#include "station_agent/source/lines/line_mapping_config.hpp"

namespace fixwright::agent {

struct ReadConfig {
  LinesConfig config;
  std::vector<std::string> problems;
};

/// `lines` is the body of [source.lines]: its keys, then sub-tables named without the prefix,
/// as in "[azimuth]".
inline ReadConfig read_lines(const std::string& lines) {
  const auto file = ConfigFile::from_text(lines, "station.toml");
  EXPECT_TRUE(file.ok()) << file.error();
  ReadConfig read{read_lines_config(file->root(), true), {}};
  read.problems = file->problems();
  return read;
}

/// The same, which must be without mistakes.
inline LinesConfig lines_of(const std::string& lines) {
  const ReadConfig read = read_lines(lines);
  for (const std::string& problem : read.problems) ADD_FAILURE() << problem;
  return read.config;
}

inline LineMapping mapping_of(const std::string& lines) { return lines_of(lines).mapping; }

}  // namespace fixwright::agent
