#pragma once
/// `fixwright export LAYER`: what is stored as a file that maps and receivers read.

#include <cstddef>
#include <ostream>
#include <string>

namespace fixwright::tools {

enum class ExportFormat { geojson, geojsonseq, gpx, kml, csv };

struct ExportOptions {
  std::string layer;
  ExportFormat format = ExportFormat::geojson;
  std::string database = "host=/run/fixwright dbname=fixwright user=fixwright_reader";
  std::string since, until;     // RFC 3339; empty: all
  std::string box;              // "WEST,SOUTH,EAST,NORTH" in degrees; empty: everywhere
  std::size_t limit = 100'000;  // features at most, by id
  std::string output;           // path; empty: `out`
  int timeout_s = 60;           // 1 to 3600
};

/// \return 0; 1 when the database can't be asked or the file can't be written; 2 when an option is
/// wrong: with one line on `err`, and nothing written. What the limit leaves out is told on `err`.
int run_export(const ExportOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
