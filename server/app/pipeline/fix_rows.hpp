#pragma once

#include <optional>
#include <vector>

#include "server/app/pipeline/free_group.hpp"
#include "server/model/emitter.hpp"

namespace fixwright::app {

/// A cross-fix as the row that people see: identity, time, frequency, its bearings. State and
/// revision are the transmission's affair.
Fix fix_row(const Transmission& transmission, std::int32_t ordinal, const CrossFix& solution,
            std::vector<Part> parts, std::optional<EmitterKey> emitter);

/// Whether people would see a difference: everything but the revision.
bool same_content(const Fix& a, const Fix& b);
bool same_content(const Emitter& a, const Emitter& b);

}  // namespace fixwright::app
