#pragma once
/// Emitters that a person declared one: shown as one, though each is still computed by itself, so
/// that taking it back loses nothing.

#include <vector>

#include "server/model/decision.hpp"
#include "server/model/emitter.hpp"

namespace fixwright::app {

/// The emitters as people see them. Those that are one share the identity of the eldest, the
/// counts and the time of all, and the place of one: of those heard within `silent_s` of the last
/// hearing, that with the most bearings. So a transmitter that moved is where it was heard last,
/// and a reflection doesn't draw it away. The others are retired, with their own counts.
/// \param redirects  of the emitters that go to those that stay; chains are resolved.
/// \return by key; one that stays is there even when only those that go are known.
std::vector<Emitter> show_as_one(std::vector<Emitter> emitters, const Redirects& redirects,
                                 double silent_s);

}  // namespace fixwright::app
