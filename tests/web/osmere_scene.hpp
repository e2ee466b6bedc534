#pragma once
/// Some hours on Osmere: emitters of every verdict, state, age and shape of region.

#include "tests/unit/web/fake_page_port.hpp"

namespace fixwright::web {

/// Fills the port; times are told back from `now`.
void set_scene(FakePagePort& port, TimePoint now);
/// One more emitter that nobody knew, north of Tor Osmere.
void add_new_emitter(FakePagePort& port, TimePoint now);
/// Every emitter is heard at `now`, one revision on.
void hear_all(FakePagePort& port, TimePoint now);

}  // namespace fixwright::web
