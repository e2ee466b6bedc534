#include "station_agent/uplink/session.hpp"

#include <fmt/core.h>

#include <algorithm>

#include "server/base/log.hpp"
#include "server/base/text.hpp"

namespace fixwright::agent {

namespace {

/// For intervals only; never goes back, unlike the host's UTC.
Duration steady_now() { return std::chrono::steady_clock::now().time_since_epoch(); }

constexpr Duration kFarewell = std::chrono::seconds{2};  // for the server to close its side
constexpr Duration kDrainPatience = std::chrono::seconds{10};

wire::Hello hello_of(const UplinkConfig& config, std::uint64_t stream_id) {
  wire::Hello hello;
  hello.set_station(config.station);
  hello.set_agent_version(config.agent_version);
  hello.set_stream_id(stream_id);
  for (const Capability c : config.capabilities) {
    hello.add_capabilities(static_cast<wire::Capability>(c));
  }
  if (!config.position) return hello;
  auto& position = *hello.mutable_position();
  position.set_latitude_deg(config.position->latitude_deg);
  position.set_longitude_deg(config.position->longitude_deg);
  if (config.position->height_m) position.set_height_m(*config.position->height_m);
  if (config.position->position_sigma_m) {
    position.set_position_sigma_m(*config.position->position_sigma_m);
  }
  return hello;
}

SendLimits limits_of(const wire::Limits& limits, std::uint32_t own_max_batch) {
  return {std::max(std::min(limits.max_batch(), own_max_batch), 1U),
          std::max(limits.max_bearings_per_second(), 1U), std::max(limits.max_in_flight(), 1U)};
}

}  // namespace

SessionResult Session::run(wire::StationService::StubInterface& stub) {
  stream_ = stub.Stream(&context_);
  listener_ = std::jthread([this] { listen(); });
  if (greet() && await_welcome()) serve();
  part();
  return result_;
}

/// The listening thread: everything the server says, until the stream ends.
void Session::listen() {
  wire::ServerMessage message;
  while (stream_->Read(&message)) {
    {
      const std::lock_guard hold(inbox_mutex_);
      inbox_.push_back(std::move(message));
    }
    tools_.bell.ring();
  }
  closed_ = true;
  tools_.bell.ring();
}

bool Session::greet() {
  wire::StationMessage message;
  *message.mutable_hello() = hello_of(tools_.config, tools_.spool.stream_id());
  return stream_->Write(message);
}

bool Session::await_welcome() {
  const Duration deadline = steady_now() + tools_.config.welcome_timeout;
  while (!closed_ && !tools_.stopping && steady_now() < deadline) {
    while (auto message = next_message()) {
      if (!message->has_welcome()) continue;
      take_welcome(message->welcome());
      return result_.end != SessionEnd::renewed;
    }
    tools_.bell.wait(std::min<Duration>(deadline - steady_now(), std::chrono::milliseconds{200}));
  }
  if (!closed_) context_.TryCancel();
  return false;
}

void Session::take_welcome(const wire::Welcome& welcome) {
  result_.welcomed = true;
  result_.keepalive = duration_of(welcome.keepalive_interval());
  const SpoolStatus spool = tools_.spool.status();
  const std::uint64_t acknowledged = welcome.acknowledged_sequence();
  if (acknowledged > spool.last_sequence) {
    log::error(
        "server {} holds bearing {} of this stream, the spool gave only {}: it was put back "
        "from a copy; beginning a new stream",
        tools_.config.server, acknowledged, spool.last_sequence);
    result_.end = SessionEnd::renewed;
    if (auto renewed = tools_.spool.renew_stream(); !renewed) log::error("{}", renewed.error());
    return;
  }
  take_plan(welcome.channel_plan());
  window_.emplace(limits_of(welcome.limits(), tools_.config.max_batch), acknowledged, steady_now());
  if (auto gone = tools_.spool.forget_through(acknowledged); !gone) log::error("{}", gone.error());
  const Duration interval = duration_of(welcome.heartbeat_interval());
  if (interval > Duration{0}) heartbeat_interval_ = interval;
  log::info("connected to server {} (version {}) as {}; sending from bearing {}, {} waiting",
            tools_.config.server, one_line(welcome.server_version(), 40), tools_.config.station,
            acknowledged + 1, tools_.spool.status().waiting);
}

void Session::serve() {
  while (!closed_) {
    take_inbox();
    if (is_over()) return;
    // Bearings first: the heartbeat may then promise more.
    if (!draining_ && !send_batches()) return;
    if (!draining_ && steady_now() >= next_heartbeat_ && !send_heartbeat()) return;
    tools_.bell.wait(until_next());
  }
  take_inbox();  // an acknowledgement may have come just before the end
}

std::optional<wire::ServerMessage> Session::next_message() {
  const std::lock_guard hold(inbox_mutex_);
  if (inbox_.empty()) return std::nullopt;
  std::optional<wire::ServerMessage> message(std::move(inbox_.front()));
  inbox_.pop_front();
  return message;
}

void Session::take_inbox() {
  while (const auto message = next_message()) {
    if (message->has_acknowledgement()) take_acknowledgement(message->acknowledgement());
    if (message->has_channel_plan()) take_plan(message->channel_plan());
    if (message->has_drain()) {
      draining_ = true;
      result_.end = SessionEnd::drained;
      result_.reconnect_after = duration_of(message->drain().reconnect_after());
      stop_deadline_ = steady_now() + kDrainPatience;
      log::info("server {} goes away; {} bearings on their way", tools_.config.server,
                window_->in_flight());
    }
  }
}

/// What is no channel at all is left out: a peer's mistake must not stop the source.
void Session::take_plan(const wire::ChannelPlan& plan) {
  if (tools_.board == nullptr) return;
  std::vector<PlannedChannel> channels;
  for (const wire::Channel& c : plan.channels()) {
    if (c.frequency_hz() > 0.0 && c.bandwidth_hz() > 0.0) {
      channels.push_back({c.frequency_hz(), c.bandwidth_hz()});
    }
  }
  tools_.board->post(std::move(channels));
}

void Session::take_acknowledgement(const wire::Acknowledgement& acknowledgement) {
  for (const wire::Refusal& r : acknowledgement.refusals()) {
    // The message names station, bearing and rule; the word is for who searches the metrics.
    log::warn("{} [{}]", one_line(r.message(), 300), one_line(r.reason(), 60));
  }
  // Never past what was sent: a peer's mistake must not cost bearings it never had.
  const auto sequence = std::min(acknowledgement.acknowledged_sequence(), window_->last_sent());
  window_->acknowledged(sequence);
  if (auto gone = tools_.spool.forget_through(sequence); !gone) log::error("{}", gone.error());
}

/// All that is due and allowed; false when the stream is gone.
bool Session::send_batches() {
  while (true) {
    const std::uint32_t room = window_->room(steady_now());
    const std::uint64_t unsent = tools_.spool.status().last_sequence - window_->last_sent();
    const bool due = steady_now() >= next_batch_ || unsent >= tools_.config.max_batch;
    if (room == 0 || unsent == 0 || !due) return true;
    const std::uint64_t before = window_->last_sent();
    if (!send_batch(room)) return false;
    next_batch_ = steady_now() + tools_.config.batch_interval;
    if (window_->last_sent() == before) return true;  // what was unsent was dropped
  }
}

bool Session::send_batch(std::uint32_t room) {
  const auto kept = tools_.spool.read_after(window_->last_sent(), room);
  if (!kept) {
    log::error("{}", kept.error());
    return true;
  }
  wire::StationMessage message;
  for (const SpooledBearing& spooled : *kept) {
    auto& batch = *message.mutable_bearings();
    if (!decode(spooled, *batch.add_bearings())) {
      log::error("spool: bearing {} is damaged and was left out", spooled.sequence);
      batch.mutable_bearings()->RemoveLast();
    }
  }
  if (message.bearings().bearings_size() > 0 && !stream_->Write(message)) return false;
  for (const SpooledBearing& spooled : *kept) window_->sent(spooled.sequence);
  return true;
}

bool Session::send_heartbeat() {
  // First what the source promises, then what is unsent: see LowWatermark.
  const TimePoint source{Duration{tools_.progress.low_watermark_ns.load()}};
  const SpoolStatus spool = tools_.spool.status();
  const auto oldest = tools_.spool.oldest_start_after(window_->last_sent());
  const TimePoint now = tools_.clock.now();
  const ClockReading clock = tools_.clock_monitor.read();
  wire::StationMessage message;
  wire::Heartbeat& h = *message.mutable_heartbeat();
  set_time(now, *h.mutable_sent_at());
  set_time(tools_.watermark.advance(source, oldest, now), *h.mutable_low_watermark());
  h.set_last_sequence(spool.last_sequence);
  set_duration(clock.error, *h.mutable_clock_error());
  h.set_clock_state(wire_clock_state(clock.state));
  h.set_spooled_bearings(spool.waiting);
  h.set_dropped_bearings(spool.dropped);
  next_heartbeat_ = steady_now() + heartbeat_interval_;
  return stream_->Write(message);
}

/// Whether this stream has done its work.
bool Session::is_over() {
  if (draining_ && window_->in_flight() == 0) return true;
  if (tools_.stopping && !stop_deadline_) stop_deadline_ = steady_now() + tools_.config.shutdown;
  if (stop_deadline_ && steady_now() >= *stop_deadline_) {
    if (!draining_) result_.end = SessionEnd::delivered;
    return true;
  }
  const bool leaving = tools_.stopping || tools_.progress.ended;
  if (!leaving || tools_.spool.status().waiting > 0) return false;
  if (!draining_) result_.end = SessionEnd::delivered;
  return true;
}

Duration Session::until_next() const {
  const Duration now = steady_now();
  Duration next = draining_ ? kDrainPatience : next_heartbeat_ - now;
  const bool unsent = tools_.spool.status().last_sequence > window_->last_sent();
  if (unsent && !draining_) {
    // A full window waits for the bell of an acknowledgement, a spent rate for time.
    next = std::min(next, std::max<Duration>(next_batch_ - now, std::chrono::milliseconds{10}));
  }
  if (stop_deadline_) next = std::min(next, *stop_deadline_ - now);
  return std::max(next, Duration{0});
}

/// Closes our side, gives the server a moment to close its own, and keeps its status.
void Session::part() {
  if (window_ && !closed_ && !draining_) send_heartbeat();  // the last word: how far we got
  stream_->WritesDone();
  const Duration deadline = steady_now() + kFarewell;
  while (!closed_ && steady_now() < deadline) {
    tools_.bell.wait(deadline - steady_now());
    if (window_) take_inbox();
  }
  if (!closed_) context_.TryCancel();
  if (listener_.joinable()) listener_.join();
  result_.status = stream_->Finish();
}

}  // namespace fixwright::agent
