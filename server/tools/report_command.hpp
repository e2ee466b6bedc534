#pragma once
/// `fixwright report`: what is known of one emitter as an HTML file, and whether such a file still
/// agrees with the database.

#include <ostream>
#include <string>

namespace fixwright::tools {

struct ReportOptions {
  std::string emitter;  // CHANNEL/ID
  std::string output;   // the HTML file; empty: `out`
  std::string verify;   // a report to be checked, in place of writing one
  std::string database = "host=/run/fixwright dbname=fixwright user=fixwright_reader";
  std::string since, until;  // RFC 3339; empty: the 7 days before now, until now
  std::string question;
  std::string by;
};

/// \return 0; 1 when the database can't be asked, a file can't be read or written, there is no such
/// emitter, or a report disagrees with the database; 2 when an option is wrong. One line on `err`
/// for each thing that is wrong; a report that agrees is a line on `out`.
int run_report(const ReportOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
