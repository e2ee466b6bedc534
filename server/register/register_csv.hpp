#pragma once
/// The register from a CSV file: our own columns, or any regulator's by a RegisterMapping.
///
///     id            text, unique in the file, not empty
///     holder, service  text
///     latitude, longitude  WGS84 or NAD83
///     position_sigma  accuracy of the position, one axis, 0 to 100 km, metres
///     frequency     centre, 1 Hz to 1 THz; or the lower edge of a block, with
///     frequency_to  its upper edge
///     bandwidth     0 to 10 GHz; where it is empty, the emission's necessary bandwidth, else 0
///     power         0 to 1 GW
///     emission      by Appendix 1 of the ITU's Radio Regulations, checked
///     valid_from, valid_until  UTC; the second excluded unless the mapping says otherwise
///
/// All but id, position and frequency may be empty. Columns in any order, others ignored.

#include <istream>
#include <set>
#include <string>
#include <vector>

#include "server/base/result.hpp"
#include "server/model/licence.hpp"
#include "server/register/mapping.hpp"

namespace fixwright::register_ {

struct RegisterCsv {
  std::vector<Licence> licences;
  std::vector<std::string> refused;   // one line a row that was not taken: "FILE:LINE: ..."
  std::set<std::string> refused_ids;  // of those rows, as far as they could be read
};

/// Fails, with one line, only when the header can't be used.
Result<RegisterCsv> read_register_csv(std::istream& in, const std::string& name,
                                      const RegisterMapping& mapping = own_columns());

}  // namespace fixwright::register_
