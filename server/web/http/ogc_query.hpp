#pragma once
/// The query of GET /ogc/collections/LAYER/items: bbox, datetime, limit and offset, as OGC 17-069r4
/// (Features, part 1) has them; `offset` is ours, for its next links.

#include "server/base/result.hpp"
#include "server/model/feature.hpp"
#include "server/web/http/target.hpp"

namespace fixwright::web {

inline constexpr std::size_t kMaxFeatures = 10'000;

/// Error: one line. An unknown parameter is one, as requirement 8 wants.
Result<FeatureFilter> feature_filter(const Target& target);

}  // namespace fixwright::web
