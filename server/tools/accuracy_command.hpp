#pragma once
/// `fixwright accuracy`: how well a network would locate, over an area, before it is built.

#include <ostream>
#include <string>
#include <vector>

namespace fixwright::tools {

enum class AccuracyFormat { table, geojson, csv };

struct AccuracyOptions {
  std::string config;      // the server's configuration: its stations
  std::string box;         // WEST,SOUTH,EAST,NORTH
  double step_km = 2.0;    // side of a cell
  double sigma_deg = 2.0;  // of one bearing
  int bearings = 10;       // that a station takes of a transmission
  double range_km = 100.0;
  double transmitter_height_m = 0.0;  // > 0: nobody hears beyond the radio horizon
  std::vector<std::string> without;   // stations that are taken away
  std::vector<std::string> with;      // LATITUDE,LONGITUDE of stations that are added
  bool suggest = false;               // where one more would help most
  AccuracyFormat format = AccuracyFormat::table;
  std::string output;
};

/// \return 0; 1 when the file can't be written; 2 when an option or the configuration can't be
/// used; with one line on `err`.
int run_accuracy(const AccuracyOptions& options, std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
