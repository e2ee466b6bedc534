#pragma once

#include <map>

#include "server/model/ids.hpp"

namespace fixwright {

/// Emitters that a playback is to call by an identity they had before: from the key that their
/// birth would give them to the one they are known by. Those not in it keep the key of their birth.
/// No two have the same.
using Identities = std::map<EmitterKey, EmitterKey>;

}  // namespace fixwright
