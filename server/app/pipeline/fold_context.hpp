#pragma once

#include "server/app/pipeline/rules.hpp"
#include "server/model/identities.hpp"
#include "server/model/station.hpp"
#include "server/track/site_errors.hpp"

namespace fixwright::app {

/// What a fold needs beside the bearings. Outlived by the pipeline that owns the values.
struct FoldContext {
  const PipelineRules& rules;
  const Stations& stations;
  track::SiteErrors sites;
  const Identities& identities;

  /// What an emitter born with this key is to be called.
  [[nodiscard]] EmitterKey identity(EmitterKey born) const {
    const auto known = identities.find(born);
    return known == identities.end() ? born : known->second;
  }
};

}  // namespace fixwright::app
