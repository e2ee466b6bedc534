#pragma once
/// An element that is silent, or that has lost its phase, seen in a look's own covariance.

#include "station_agent/array/elements.hpp"

namespace fixwright::agent::array {

enum class ElementFault { none, dead, incoherent };

struct LookFault {
  ElementFault fault = ElementFault::none;
  int element = -1;  // from 0
};

/// The element that is silent: a tenth of its own noise or less; or, when the median element's
/// signal stands 7 dB above the noise, less than 3 % of that and nothing in common with the others.
/// An element in the null of a strong reflection is as weak, but what it has is the others' signal.
/// \param r         scaled by the noise power that was told.
/// \param expected  what the calibration lets expect of a signal over noise, relative.
LookFault find_dead(const ElementMatrix& r, const ElementReals& expected, double snapshots);

/// The element that shares no phase with the others: with it there are two sources or more; without
/// it one is left, and a second eigenvalue under a twentieth of what it was. A true second source
/// loses about 1/N of its power with an element, so it is never taken for that. Needs four
/// elements. \param r  scaled so that the noise has power 1 in every element.
LookFault find_incoherent(const ElementMatrix& r, double snapshots);

}  // namespace fixwright::agent::array
