#pragma once
/// What a person decided about an emitter. Nothing decided is ever changed or deleted: it is undone
/// by a later decision.

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "server/model/ids.hpp"

namespace fixwright {

enum class DecisionKind {
  rename,   // from now on it is called `name`; empty: by no name
  note,     // something worth knowing, in `note`
  watch,    // tell me about it
  unwatch,  // no more
  merge,    // `other` is the same transmitter: the older of the two keeps its identity
  split,    // takes a merge back: two transmitters after all
  undo,     // takes any other decision back
};
std::string_view to_string(DecisionKind k);

struct EmitterDecision {
  std::int64_t id = 0;  // 1 and up, in the order in which they were decided
  TimePoint at;         // by the database's clock
  std::string by;       // who; never empty
  DecisionKind kind = DecisionKind::note;
  EmitterKey emitter;                     // of a merge: the one that keeps its identity
  std::string name;                       // of a rename
  std::string note;                       // why; may be empty but for a note
  std::optional<std::int64_t> other;      // of a merge: emitter_id of the one that goes
  std::optional<std::int64_t> undoes;     // of a split or an undo: the decision taken back
  std::optional<std::int64_t> undone_by;  // the decision that took this one back
};

/// What people's decisions make of one emitter, beside what is computed.
struct EmitterMarks {
  std::optional<std::string> name;
  bool watched = false;
};

/// By the merges that stand: each emitter that goes, and the one that it is shown as.
using Redirects = std::map<EmitterKey, EmitterKey>;

}  // namespace fixwright
