#pragma once

#include <vector>

#include "server/app/pipeline/fold_context.hpp"
#include "server/model/fix.hpp"
#include "server/model/transmission.hpp"

namespace fixwright::app {

/// Indices into Transmission::bearings, rising.
using Indices = std::vector<std::size_t>;

/// A bearing's part in a fix, and which bearing of the transmission it is.
struct Part {
  std::size_t index = 0;
  double azimuth_deg = 0.0;  // the azimuth that was believed, as sent
  double residual_deg = 0.0;
  bool used = false;
};

/// A cross-fix of bearings that nobody known claimed.
struct FreeGroup {
  CrossFix fix;
  std::vector<Part> parts;  // rising
  int stations = 0;         // that contributed a used bearing

  [[nodiscard]] bool uses_any(const Indices& some) const;
  [[nodiscard]] Indices used() const;
};

/// What locate finds among these bearings: accepted groups, or one that was refused; none where
/// there are no bearings.
std::vector<FreeGroup> search_groups(const Transmission& transmission, const Indices& among,
                                     const FoldContext& context);

/// What became of each bearing of a cross-fix.
/// \param fix, pooled  as from locate; verdicts has one entry a pooled bearing.
std::vector<Part> parts_of(const CrossFix& fix, const std::vector<PooledBearing>& pooled,
                           const Transmission& transmission, const Indices& bearings,
                           const FoldContext& context);

/// Stations among the used parts.
int stations_of(const std::vector<Part>& parts, const Transmission& transmission);

}  // namespace fixwright::app
