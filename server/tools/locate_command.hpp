#pragma once
/// `fixwright locate`: bearings of a CSV log in, fixes out. No server, no database.

#include <istream>
#include <ostream>
#include <string>

#include "server/locate/rules.hpp"
#include "server/tools/transmissions.hpp"

namespace fixwright::tools {

enum class FixFormat { csv, geojson };

struct LocateOptions {
  std::string input = "-";  // a path, or - for standard input
  FixFormat format = FixFormat::csv;
  TransmissionRules transmissions;
  locate::LocateRules rules;
  bool strict = false;  // exit 1 when a row had to be skipped
};

/// \return 0: done; 1: no row could be used, or `strict` and some could not; 2: the input can't be
/// read or has no usable header. Fixes go to `out`, complaints, one line each, to `err`.
int run_locate(const LocateOptions& options, std::ostream& out, std::ostream& err);

/// The same from a stream.
int run_locate(std::istream& in, const std::string& name, const LocateOptions& options,
               std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
