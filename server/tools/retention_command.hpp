#pragma once
/// `fixwright retention`: drops raw bearings that are old enough, perhaps into an archive first.

#include <ostream>
#include <string>

namespace fixwright::tools {

struct RetentionOptions {
  std::string database;  // as the owner of the tables
  int days = 365;        // kept: today and so many whole UTC days before; 2 to 36500
  bool plan = false;     // say what it would free; drop nothing
  std::string archive;   // a folder: each day as a CSV file before it is dropped; empty: none
};

/// The archive is a file a day, bearings_YYYY-MM-DD.csv, as `fixwright replay` reads it; a file
/// that is there already is left alone, and so is its day.
///
/// \return 0; 1 when a file can't be written or a day can't be dropped; 2 when an option or the
/// database can't be used; with a line on `err`. What was dropped before stays dropped.
int run_retention(const RetentionOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
