#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "server/model/fix.hpp"

namespace fixwright {

enum class EmitterState {
  tentative,  // seen too little to be believed
  confirmed,
  silent,   // confirmed, not heard for a while
  retired,  // not heard for long, merged or withdrawn
};
std::string_view to_string(EmitterState s);

enum class Motion { still, moving };
std::string_view to_string(Motion m);

/// Velocity of a moving emitter, with its uncertainty.
struct Velocity {
  double speed_m_per_s = 0.0;
  double course_deg = 0.0;  // [0, 360)
  double speed_sigma_m_per_s = 0.0;
};

/// A transmitter that was located: what all its fixes have in common.
struct Emitter {
  EmitterKey key;
  std::uint32_t revision = 1;
  EmitterState state = EmitterState::tentative;
  Motion motion = Motion::still;
  CrossFix fix;                      // of all its bearings, or the track's latest
  std::optional<Velocity> velocity;  // moving ones only
  TimePoint valid_at;                // of the position
  double frequency_hz = 0.0;         // mean
  TimePoint first_heard;
  TimePoint last_heard;
  std::uint64_t bearings = 0;
  std::uint32_t looks = 0;          // transmissions in which three stations or more heard it
  std::vector<StationId> stations;  // that heard it, rising
};

enum class EmitterEventKind { born, confirmed, moved, split, merged, silent, returned, retired };
std::string_view to_string(EmitterEventKind k);

/// Something happened to an emitter, and this is why we think so.
struct EmitterEvent {
  EmitterKey emitter;
  TimePoint at;
  EmitterEventKind kind = EmitterEventKind::born;
  std::string evidence;  // one line for a person
  friend bool operator==(const EmitterEvent&, const EmitterEvent&) = default;
};

}  // namespace fixwright
