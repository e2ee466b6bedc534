#pragma once
/// Emitters as a table for the terminal.

#include <span>
#include <string>
#include <vector>

#include "server/model/views.hpp"

namespace fixwright::report {

/// Columns padded to their widest cell, two blanks apart, one line a row, no blanks at line ends.
/// Widths count code points. Cells go through one_line(): text from elsewhere must not move the
/// cursor.
std::string text_table(std::span<const std::vector<std::string>> rows);

/// FREQUENCY  POSITION  95 % ELLIPSE  STATIONS  STATE  REGISTER  LAST HEARD, in the order given.
/// "last heard" is how long before `now`.
std::string emitter_table(std::span<const EmitterView> emitters, TimePoint now);

}  // namespace fixwright::report
