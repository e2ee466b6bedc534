#pragma once
/// How far event time is complete: "no live bearing is earlier than this any more".
///
/// A station's watermark is its heartbeat's low watermark, less its clock error, less a slack;
/// the whole is the least over the stations that are not idle, and never goes back. T. Akidau
/// et al., "The Dataflow Model", Proc. VLDB 8 (2015) 1792, gives the idea.

#include <map>

#include "server/align/rules.hpp"
#include "server/model/station.hpp"

namespace fixwright::align {

/// Before any heartbeat: nothing is complete. Far from the type's end, so that a lateness can
/// be taken from it.
inline constexpr TimePoint kBeginningOfTime{Duration{Duration::min().count() / 2}};

class Watermark {
 public:
  explicit Watermark(const AlignRules& rules);

  /// A station's word. A low watermark ahead of its receipt is a clock that runs ahead: the
  /// receipt counts instead.
  void heartbeat(const Heartbeat& heartbeat);

  /// A station that was idle speaks again. Only once: without heartbeats it falls idle again,
  /// or a station that has lost them would hold everybody for ever.
  void message(StationId station);

  /// The server's clock. A time before an earlier one is ignored.
  void tick(TimePoint server_now);

  /// Event time up to which all is complete; kBeginningOfTime before the first heartbeat.
  [[nodiscard]] TimePoint value() const { return value_; }

  /// End of input: everything is complete.
  void finish() { value_ = TimePoint::max(); }

 private:
  struct StationMark {
    TimePoint watermark;
    TimePoint last_heard;  // by the server's clock
    bool woken_by_message = false;
  };

  [[nodiscard]] bool idle(const StationMark& mark) const;
  void advance();

  Duration slack_;
  Duration idle_after_;
  Duration all_idle_behind_;
  std::map<StationId, StationMark> stations_;
  TimePoint now_ = kBeginningOfTime;
  TimePoint value_ = kBeginningOfTime;
};

}  // namespace fixwright::align
