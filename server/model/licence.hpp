#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "server/base/geo.hpp"
#include "server/base/time.hpp"
#include "server/model/ids.hpp"

namespace fixwright {

/// One licensed transmitter of the register.
struct Licence {
  std::string id;
  std::string holder;
  std::string service;
  GeoPoint position;
  double position_sigma_m = 0.0;  // accuracy of the register's position, one axis
  double frequency_hz = 0.0;
  double bandwidth_hz = 0.0;
  std::optional<TimePoint> valid_from;
  std::optional<TimePoint> valid_until;
  std::optional<double> power_w = {};  // as licensed: of the transmitter, or radiated
  std::string emission = {};           // its designation, as in the ITU's Radio Regulations
  friend bool operator==(const Licence&, const Licence&) = default;
};

enum class RegisterVerdict {
  registered,
  unregistered,        // not found in the register; no accusation
  position_disagrees,  // on a registered channel, at another place
  off_frequency,       // at a registered place, beside its band
  out_of_validity,     // as an entry says that has ended or not begun
  undecided,
};
std::string_view to_string(RegisterVerdict v);

/// What the register says about an emitter.
struct RegisterMatch {
  EmitterKey emitter;
  RegisterVerdict verdict = RegisterVerdict::undecided;
  double posterior = 0.0;                          // of the verdict, [0, 1]
  std::optional<std::string> licence;              // the likeliest entry
  std::optional<double> distance_m;                // from the emitter to that entry
  std::optional<double> frequency_offset_hz = {};  // of the emitter from that entry's centre
  std::string evidence = {};                       // one line for a person
};

}  // namespace fixwright
