#pragma once
/// The register from a CSV file in our own columns:
///
///     id            text, unique in the file, not empty
///     holder        text (may be left out)
///     service       text (may be left out)
///     latitude      degrees, WGS84, -90 to 90
///     longitude     degrees, WGS84, -180 to 180
///     position_sigma_m  accuracy of the position, one axis, 0 to 100 000 (may be left out)
///     frequency_hz  centre, 1 to 1e12
///     bandwidth_hz  0 to 1e10 (may be left out: 0)
///     valid_from, valid_until  RFC 3339, the second excluded (may be left out: no limit)
///
/// Columns in any order, others ignored. Other people's files come with a mapping later.

#include <istream>
#include <string>
#include <vector>

#include "server/base/result.hpp"
#include "server/model/licence.hpp"

namespace fixwright::register_ {

struct RegisterCsv {
  std::vector<Licence> licences;
  std::vector<std::string> refused;  // one line a row that was not taken: "FILE:LINE: ..."
};

struct RegisterCsvRules {
  /// For rows that don't state their accuracy. Metres; a register's positions are commonly given
  /// to a second of arc, some 30 m, and miscopied a little (common practice, no source).
  double position_sigma_m = 100.0;
};

/// Fails, with one line, only when the header can't be used.
Result<RegisterCsv> read_register_csv(std::istream& in, const std::string& name,
                                      const RegisterCsvRules& rules = {});

}  // namespace fixwright::register_
