#pragma once
/// Plays bearings of which the source is known to a pipeline, and judges what people were shown.

#include <functional>
#include <optional>
#include <vector>

#include "server/app/pipeline/pipeline.hpp"
#include "tests/support/scenario/feed.hpp"
#include "tests/support/scenario/simulator.hpp"

namespace fixwright::scenario {

struct JudgeRules {
  double from_s = 3600.0;  // by then every emitter has spoken some times
  double every_s = 900.0;  // GOSPA is taken this often
  double step_s = 5.0;     // the pipeline is asked this often
  double delay_s = 0.3;    // a bearing arrives so long after its end
  double jitter_s = 0.0;   // and up to so much later
  /// A believed emitter counts as shown where it is while it was heard within this.
  double shown_for_s = 1e9;
};

struct Judgement {
  double gospa_m = 0.0;  // mean over time
  int missed_at_end = 0;
  int false_at_end = 0;
  double identities_per_truth = 0.0;  // believed emitters made mostly of a truth's bearings
  int switches = 0;                   // times a truth goes from one identity to another
  double purity = 0.0;                // share of an identity's bearings that are its truth's; mean
  std::vector<int> bearings_to_confirm;  // one a truth that was found
  int inside = 0;    // believed still emitters whose 95 % region holds their truth at the end
  int believed = 0;  // of so many
  double cpu_ms_per_1000 = 0.0;
  Tables tables;
};

Judgement judge(const Stations& stations, const std::vector<Source>& sources,
                const Simulated& heard, const JudgeRules& rules = {});

/// Median; 0 of nothing.
double median(std::vector<int> values);

}  // namespace fixwright::scenario
