#include "server/ingest/admission.hpp"

#include <fmt/core.h>

#include <limits>
#include <utility>

#include "server/base/log.hpp"

namespace fixwright::ingest {

namespace {

/// What a bigint column holds.
constexpr std::uint64_t kMaxSequence = std::numeric_limits<std::int64_t>::max();

bool is_power_of_ten(std::uint64_t n) {
  while (n >= 10 && n % 10 == 0) n /= 10;
  return n == 1;
}

std::optional<RuleBroken> check_sequence(std::uint64_t sequence, std::uint64_t last) {
  if (sequence == 0 || sequence > kMaxSequence) {
    return RuleBroken{RefusalReason::sequence_order,
                      "sequences are 1 to 9223372036854775807; mend the agent"};
  }
  if (sequence > last) return std::nullopt;
  return RuleBroken{RefusalReason::sequence_order,
                    fmt::format("sequences rise within a session and the last was {}; give each "
                                "spool its own stream id",
                                last)};
}

/// Fills in the channel that the server decides, or judges the one that the station says.
std::optional<RuleBroken> settle_channel(Bearing& b, const ChannelMap& channels) {
  if (b.channel == 0) {
    b.channel = channels.channel_of(b.frequency_hz);
    return std::nullopt;
  }
  if (channels.fits(b.channel, b.frequency_hz)) return std::nullopt;
  return RuleBroken{RefusalReason::channel,
                    fmt::format("channel {} does not hold {} Hz in the server's plan; leave the "
                                "channel out, or mend the plan",
                                b.channel, b.frequency_hz)};
}

}  // namespace

Admission::Admission(Station station, StreamId stream, AdmissionRules rules,
                     const ChannelMap& channels, RateLimiter& limiter, const Clock& clock,
                     Metrics& metrics)
    : station_(std::move(station)),
      stream_(stream),
      rules_(rules),
      channels_(channels),
      limiter_(limiter),
      clock_(clock),
      metrics_(metrics),
      admitted_(metrics.counter("fixwright_bearings_admitted", "Bearings admitted.",
                                {{"station", station_.name}})) {}

std::variant<Bearing, BearingRefusal> Admission::admit(Bearing candidate) {
  candidate.key.station = station_.id;
  candidate.key.stream = stream_;
  if (const auto broken = broken_rule(candidate)) return refuse(candidate, *broken);
  if (!candidate.station_moves) candidate.station_position = station_.position;
  admitted_.add();
  return candidate;
}

std::optional<RuleBroken> Admission::broken_rule(Bearing& candidate) {
  if (auto broken = check_sequence(candidate.key.sequence, handled_)) return broken;
  handled_ = candidate.key.sequence;  // from here on it is handled, one way or the other
  if (!limiter_.take()) {
    return RuleBroken{RefusalReason::rate,
                      fmt::format("the station sends more than {} bearings a second; raise "
                                  "ingest.max_bearings_per_second or slow the source",
                                  limiter_.per_second())};
  }
  if (auto broken = check_time(candidate, clock_.now(), rules_.max_ahead_s, rules_.max_age_days)) {
    return broken;
  }
  if (auto broken = check_measurement(candidate)) return broken;
  if (auto broken = settle_channel(candidate, channels_)) return broken;
  return check_position(candidate, station_.moves);
}

BearingRefusal Admission::refuse(const Bearing& candidate, const RuleBroken& broken) {
  const std::string word{to_string(broken.reason)};
  metrics_
      .counter("fixwright_bearings_refused", "Bearings refused for good, by reason.",
               {{"station", station_.name}, {"reason", word}})
      .add();
  std::string message = fmt::format("station {}: bearing {} refused: {}", station_.name,
                                    candidate.key.sequence, broken.why);
  const std::uint64_t count = ++refused_.at(static_cast<std::size_t>(broken.reason));
  if (is_power_of_ten(count)) log::warn("{} [{}, no. {} of this session]", message, word, count);
  return {candidate.key, broken.reason, std::move(message)};
}

std::optional<std::string> Admission::heartbeat_problem(const Heartbeat& heartbeat) const {
  const TimePoint mark = heartbeat.low_watermark;
  const bool none = mark == TimePoint::min() || mark == TimePoint::max();
  if (none || heartbeat.clock_error < Duration{0}) {
    return fmt::format(
        "station {}: heartbeat ignored: low watermark or clock error is missing or "
        "out of range; mend the agent",
        station_.name);
  }
  const double ahead_s = seconds_ahead(mark, clock_.now());
  const double allowed_s = rules_.max_ahead_s + seconds(heartbeat.clock_error);
  if (ahead_s <= allowed_s) return std::nullopt;
  return fmt::format(
      "station {}: heartbeat ignored: low watermark {} is {:.3f} s ahead of the "
      "server's clock, at most {:.3f}; set the station's clock",
      station_.name, format_rfc3339(mark), ahead_s, allowed_s);
}

}  // namespace fixwright::ingest
