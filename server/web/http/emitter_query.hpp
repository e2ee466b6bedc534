#pragma once
/// The query of /api/emitters as a filter.

#include "server/base/result.hpp"
#include "server/model/views.hpp"
#include "server/web/http/target.hpp"

namespace fixwright::web {

inline constexpr std::size_t kMaxEmitters = 10'000;

/// Keys: state (may be repeated), min_frequency_hz, max_frequency_hz, heard_since (RFC 3339),
/// limit (1 to kMaxEmitters, default 1000). Fails on any other key, on a value out of its
/// range, and on a key given twice: "query: limit = 0: must be 1 to 10000".
Result<EmitterFilter> emitter_filter(const Target& target);

/// Reads "limit" alone, 1 to `max`.
Result<std::size_t> limit_of(const Target& target, std::size_t fallback, std::size_t max);

}  // namespace fixwright::web
