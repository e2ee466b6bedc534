#pragma once

#include "server/app/pipeline/rules.hpp"
#include "server/model/station.hpp"
#include "server/track/site_errors.hpp"

namespace fixwright::app {

/// What a fold needs beside the bearings. Outlived by the pipeline that owns the values.
struct FoldContext {
  const PipelineRules& rules;
  const Stations& stations;
  track::SiteErrors sites;
};

}  // namespace fixwright::app
