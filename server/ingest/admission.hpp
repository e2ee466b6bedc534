#pragma once
/// Admits or refuses the bearings of one session, one by one.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>

#include "server/base/clock.hpp"
#include "server/base/metrics.hpp"
#include "server/ingest/bearing_checks.hpp"
#include "server/ingest/channel_map.hpp"
#include "server/ingest/rate_limiter.hpp"
#include "server/ingest/refusal.hpp"
#include "server/model/bearing.hpp"
#include "server/model/station.hpp"

namespace fixwright::ingest {

struct AdmissionRules {
  double max_ahead_s = 2.0;     // start past the server's clock, beside the clock error; 0 to 3600
  double max_age_days = 400.0;  // start before the server's clock; > 0. History waits in spools.
};

/// One session of one station and stream. Not safe from two threads at once; metrics, map,
/// limiter and clock must outlive it.
///
/// Counts in `fixwright_bearings_admitted{station}` and
/// `fixwright_bearings_refused{station,reason}`.
class Admission {
 public:
  /// \param station  as registered: its position goes into each bearing of a fixed station.
  Admission(Station station, StreamId stream, AdmissionRules rules, const ChannelMap& channels,
            RateLimiter& limiter, const Clock& clock, Metrics& metrics);

  /// \param candidate  as it came: any field may be NaN or out of range. A channel of 0 means
  ///   that the server decides; TimePoint::min() or max() and Duration::min() or max() mean
  ///   that none was given or that ours cannot hold it (rpc/convert_time.hpp).
  /// \return the bearing with station, stream, channel and station position filled in and every
  ///   field in the range that model/bearing.hpp states; or the first rule broken, in the order
  ///   of RefusalReason. The log has the 1st, 10th, 100th … refusal of a reason in a session.
  std::variant<Bearing, BearingRefusal> admit(Bearing candidate);

  /// The highest sequence that was admitted or refused for good; 0 before the first. What an
  /// acknowledgement may cover once the admitted ones are durable. A sequence that is itself
  /// out of order does not move it.
  [[nodiscard]] std::uint64_t handled_sequence() const { return handled_; }

  /// Why a heartbeat must not move the station's watermark: one line, or nothing. A low
  /// watermark ahead of the server's clock by more than max_ahead_s would make all later
  /// bearings late.
  [[nodiscard]] std::optional<std::string> heartbeat_problem(const Heartbeat& heartbeat) const;

 private:
  std::optional<RuleBroken> broken_rule(Bearing& candidate);
  BearingRefusal refuse(const Bearing& candidate, const RuleBroken& broken);

  Station station_;
  StreamId stream_;
  AdmissionRules rules_;
  const ChannelMap& channels_;
  RateLimiter& limiter_;
  const Clock& clock_;
  Metrics& metrics_;
  Counter& admitted_;
  std::array<std::uint64_t, kRefusalReasons.size()> refused_{};  // by reason, in this session
  std::uint64_t handled_ = 0;
};

}  // namespace fixwright::ingest
