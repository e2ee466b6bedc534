#pragma once
/// `fixwright handover`: a sheet for the person who is sent out to look for an emitter.

#include <ostream>
#include <string>

namespace fixwright::tools {

struct HandoverOptions {
  std::string emitter;  // CHANNEL/ID
  std::string output;   // the HTML file; empty: `out`
  std::string basemap;  // GeoJSON with roads; empty: none
  std::string database = "host=/run/fixwright dbname=fixwright user=fixwright_reader";
  std::string report_to;
  std::string by;
};

/// \return 0; 1 when the database can't be asked, a file can't be read or written, there is no such
/// emitter or it has no place; 2 when an option is wrong: with one line on `err`.
int run_handover(const HandoverOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
