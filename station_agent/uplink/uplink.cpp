#include "station_agent/uplink/uplink.hpp"

#include <algorithm>
#include <random>
#include <utility>

#include "server/base/log.hpp"
#include "station_agent/uplink/channel.hpp"
#include "station_agent/uplink/session.hpp"
#include "station_agent/uplink/status_advice.hpp"

namespace fixwright::agent {

namespace {

/// Chance is wanted here: jitter that a second agent would repeat is none.
std::function<double()> random_uniform() {
  auto engine = std::make_shared<std::mt19937_64>(std::random_device{}());
  return [engine] { return std::uniform_real_distribution<double>(0.0, 1.0)(*engine); };
}

/// Chosen by us or told by the server; never so short that the server takes it for an attack.
Duration keepalive_after(Duration current, const SessionResult& result) {
  const bool named = result.keepalive && *result.keepalive >= std::chrono::seconds{1};
  return named ? *result.keepalive : current;
}

}  // namespace

Uplink::Uplink(UplinkConfig config, Spool& spool, const Clock& clock,
               const ClockMonitor& clock_monitor, PlanBoard* board)
    : config_(std::move(config)),
      spool_(spool),
      clock_(clock),
      clock_monitor_(clock_monitor),
      board_(board) {}

Uplink::~Uplink() = default;

void Uplink::run() {
  Backoff backoff(config_.backoff, random_uniform());
  LowWatermark watermark(config_.watermark_hold);
  Duration keepalive = config_.keepalive;
  while (!is_done()) {
    const SessionResult result = run_session(watermark, keepalive);
    keepalive = keepalive_after(keepalive, result);
    if (result.end == SessionEnd::delivered) return;
    if (result.welcomed) {
      backoff.reset();
      last_said_.clear();
    }
    if (result.end != SessionEnd::renewed) wait_before_next(wait_after(result, backoff));
  }
}

SessionResult Uplink::run_session(LowWatermark& watermark, Duration keepalive) {
  const auto stub = wire::StationService::NewStub(make_channel(config_.server, keepalive));
  Session session(
      {config_, spool_, clock_, clock_monitor_, bell_, progress_, stopping_, watermark, board_});
  const auto show = [this](Session* running) {
    const std::lock_guard hold(session_mutex_);
    session_ = running;
  };
  show(&session);
  SessionResult result = session.run(*stub);
  show(nullptr);
  return result;
}

/// How long to stay away, and the line about it.
Duration Uplink::wait_after(const SessionResult& result, Backoff& backoff) {
  if (result.end == SessionEnd::drained) return backoff.spread(result.reconnect_after);
  const Advice advice = advice_on(result.status, config_.server, config_.station);
  const Duration wait =
      advice.needs_person ? backoff.spread(config_.refused_retry) : backoff.next();
  if (!is_done()) say(advice.line, advice.needs_person, wait);
  return wait;
}

bool Uplink::is_done() const {
  return stopping_ || (progress_.ended && spool_.status().waiting == 0);
}

void Uplink::wait_before_next(Duration wait) {
  const auto until = std::chrono::steady_clock::now() + wait;
  while (!is_done()) {
    const Duration left = until - std::chrono::steady_clock::now();
    if (left <= Duration{0}) return;
    bell_.wait(std::min<Duration>(left, std::chrono::milliseconds{200}));
  }
}

void Uplink::say(const std::string& line, bool needs_person, Duration wait) {
  const bool news = line != last_said_;
  last_said_ = line;
  if (needs_person && news) {
    log::error("{}; trying again every {:.0f} s, {} bearings waiting", line,
               seconds(config_.refused_retry), spool_.status().waiting);
  } else if (!needs_person) {
    log::warn("{}; {} bearings waiting, retry in {:.1f} s", line, spool_.status().waiting,
              seconds(wait));
  }
}

void Uplink::appended(TimePoint low_watermark) {
  progress_.low_watermark_ns = low_watermark.time_since_epoch().count();
  bell_.ring();
}

void Uplink::finish() {
  progress_.ended = true;
  bell_.ring();
}

void Uplink::stop() {
  stopping_ = true;
  bell_.ring();
}

void Uplink::cut() {
  const std::lock_guard hold(session_mutex_);
  if (session_ != nullptr) session_->cut();
}

}  // namespace fixwright::agent
