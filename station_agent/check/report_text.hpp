#pragma once
/// A report on one screen, for the host.

#include <string>

#include "station_agent/check/finding.hpp"

namespace fixwright::agent::check {

/// Plain text, at most 80 columns: a finding's severity, area and what it is; below it, after
/// "->", what to do; then the cautions and the verdict.
std::string text_of(const Report& report);

}  // namespace fixwright::agent::check
