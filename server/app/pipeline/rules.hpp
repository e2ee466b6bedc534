#pragma once

#include "server/align/rules.hpp"
#include "server/locate/rules.hpp"
#include "server/track/rules.hpp"

namespace fixwright::app {

struct PipelineRules {
  align::AlignRules align;
  locate::LocateRules locate;
  track::TrackRules track;
};

}  // namespace fixwright::app
