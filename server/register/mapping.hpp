#pragma once
/// How a regulator's CSV file says what our register holds: which column is which, in which units,
/// form, datum and encoding. Written as TOML; deploy/config/register_mapping.toml shows every key.

#include <array>
#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "server/base/result.hpp"

namespace fixwright::register_ {

enum class AngleForm {
  decimal,  // 41.1932
  dms,      // 41 11 35.5 N, 41°11'35.5"N, -150-18
  packed,   // 411135N, 1501845.5W, and with the letter inside: 41N1135
};

enum class PowerUnit { w, kw, dbw, dbm };

/// The fields of a licence that a column may give, by their names in the file of the mapping.
inline constexpr std::array<std::string_view, 13> kRegisterFields{
    "id",           "holder",    "service", "latitude", "longitude",  "position_sigma", "frequency",
    "frequency_to", "bandwidth", "power",   "emission", "valid_from", "valid_until"};

struct RegisterMapping {
  /// Field to the columns that make it, joined by a blank; a field without one is not in the file.
  std::map<std::string, std::vector<std::string>, std::less<>> columns;
  /// Our own file may lack any column but the first four; whoever maps a file has seen it.
  bool columns_may_lack = false;
  bool latin1 = false;  // else UTF-8
  char separator = ',';
  bool decimal_comma = false;
  double frequency_unit_hz = 1.0;
  double bandwidth_unit_hz = 1.0;
  PowerUnit power_unit = PowerUnit::w;
  AngleForm angles = AngleForm::decimal;
  /// Of a row that doesn't state its accuracy, one axis. Metres, 0 to 100 000. Registers' positions
  /// are commonly given to a second of arc, some 30 m, and miscopied a little (common practice,
  /// no source).
  double position_sigma_m = 100.0;
  /// What the datum adds to that, in quadrature. Metres. See kNad83Sigma_m.
  double datum_sigma_m = 0.0;
  /// Of dates: "rfc3339", or YYYY, MM, DD, hh, mm, ss as they stand, UTC.
  std::string date_format = "rfc3339";
  bool until_included = false;  // valid_until names the last day, not the one after
};

/// NAD83 is taken for WGS84 as it stands. The two part by 1 to 2 m in North America and grow apart
/// by 1 to 2 cm a year as the plate moves (other plates, Hawaii: 4 m). Source: EPSG transformation
/// 1188 (all parameters zero), accuracy 4 m. A register's own 30 to 100 m hide it; the sigma bears
/// it all the same. NAD27 differs by up to 200 m, by a grid: convert it before.
inline constexpr double kNad83Sigma_m = 4.0;

/// Our own columns: id, latitude, longitude, frequency_hz; and holder, service, position_sigma_m,
/// bandwidth_hz, valid_from, valid_until, power_w, emission.
RegisterMapping own_columns();

/// Fails with every mistake of the file, one a line.
Result<RegisterMapping> read_mapping(const std::filesystem::path& path);

}  // namespace fixwright::register_
