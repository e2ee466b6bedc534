#pragma once
/// From a source's bearing to the bytes that the spool keeps.

#include "station_agent/clock/clock_state.hpp"
#include "station_agent/source/source.hpp"
#include "station_agent/spool/spool.hpp"

namespace fixwright::agent {

/// A serialised wire Bearing without its sequence, stamped with what the clock was worth when
/// it was taken. wire.hpp turns it back.
SpoolItem encode(const SourceBearing& bearing, const ClockReading& clock);

}  // namespace fixwright::agent
