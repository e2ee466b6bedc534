#pragma once
/// `fixwright replay`: bearings of a CSV log through align, locate and track, in the order of the
/// file, as if they arrived so. No server, no database.

#include <istream>
#include <ostream>
#include <string>

#include "server/app/pipeline/rules.hpp"
#include "server/tools/transmissions.hpp"

namespace fixwright::tools {

struct ReplayOptions {
  std::string input = "-";  // a path, or - for standard input
  TransmissionRules transmissions;
  app::PipelineRules rules;  // rules.align.gap_s is overridden by transmissions.gap_s
  double every_s = 10.0;     // event time between two rows of one emitter; >= 0
  bool by_time = false;      // replay in order of time, not of the file
  bool strict = false;       // exit 1 when a row had to be skipped or came too late
};

/// Writes emitter states: a row when an emitter's state or motion changes, a row at most every
/// `every_s` of event time while it is heard, and its last one at the end of the log.
///
/// In a replay nobody sends heartbeats: a station's watermark is its newest bearing, and the
/// clock is the newest bearing of all. Stations are numbered in the order of their names. A
/// bearing that comes more than rules.align.lateness_s behind is left out and counted.
///
/// \return 0: done; 1: no row could be used, or `strict` and some could not; 2: the input can't be
/// read or has no usable header. States go to `out`, complaints, one line each, to `err`.
int run_replay(const ReplayOptions& options, std::ostream& out, std::ostream& err);

/// The same from a stream.
int run_replay(std::istream& in, const std::string& name, const ReplayOptions& options,
               std::ostream& out, std::ostream& err);

}  // namespace fixwright::tools
