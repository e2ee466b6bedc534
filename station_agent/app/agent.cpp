#include "station_agent/app/agent.hpp"

#include <atomic>
#include <memory>
#include <thread>

#include "server/base/log.hpp"
#include "station_agent/app/agent_parts.hpp"
#include "station_agent/app/placing.hpp"
#include "station_agent/source/plan_board.hpp"
#include "station_agent/uplink/encode.hpp"

namespace fixwright::agent {

namespace {

constexpr Duration kPatience = std::chrono::milliseconds{100};
constexpr Duration kCutAfter = std::chrono::seconds{3};  // past the shutdown time

/// The uplink on a thread of its own.
class UplinkThread {
 public:
  explicit UplinkThread(Uplink& uplink)
      : uplink_(uplink), thread_([this] {
          uplink_.run();
          done_ = true;
        }) {}
  [[nodiscard]] bool done() const { return done_; }
  /// Waits for the end; cuts a stream that does not end.
  void join(Duration patience) {
    const auto deadline = std::chrono::steady_clock::now() + patience;
    while (!done_ && std::chrono::steady_clock::now() < deadline) {
      std::this_thread::sleep_for(std::chrono::milliseconds{10});
    }
    if (!done_) uplink_.cut();
    thread_.join();
  }

 private:
  Uplink& uplink_;
  std::atomic<bool> done_{false};
  std::jthread thread_;
};

/// Source to spool, one read after the other.
class Intake {
 public:
  Intake(Source& source, Spool& spool, Uplink& uplink, const Clock& clock,
         const ClockMonitor& clock_monitor, Placing& placing)
      : source_(source),
        spool_(spool),
        uplink_(uplink),
        clock_(clock),
        clock_monitor_(clock_monitor),
        placing_(placing) {}

  /// \return whether the source has ended.
  bool step(const std::function<bool()>& stop_wanted) {
    SourceBatch batch = source_.read(kPatience);
    const ClockReading reading = clock_monitor_.read();
    placing_.place(batch.bearings, reading);
    for (const std::string& line : batch.complaints) log::warn("{}", line);
    if (!keep(batch, reading, stop_wanted)) return false;
    uplink_.appended(batch.low_watermark);
    return batch.ended;
  }

 private:
  /// Until the disk takes it: meanwhile the source waits, and nothing is lost here.
  bool keep(const SourceBatch& batch, const ClockReading& reading,
            const std::function<bool()>& stop_wanted) {
    if (batch.bearings.empty() && !batch.mark) return true;
    if (batch.bearings.empty() && batch.mark == last_mark_) return true;
    std::vector<SpoolItem> items;
    for (const SourceBearing& b : batch.bearings) items.push_back(encode(b, reading));
    while (true) {
      const auto kept = spool_.append(items, clock_.now(), batch.mark);
      if (kept) break;
      log::error("{}: {} bearings wait for it, retry in 1 s", kept.error(), items.size());
      std::this_thread::sleep_for(std::chrono::seconds{1});
      if (stop_wanted()) return false;
    }
    if (batch.mark) last_mark_ = batch.mark;
    return true;
  }

  Source& source_;
  Spool& spool_;
  Uplink& uplink_;
  const Clock& clock_;
  const ClockMonitor& clock_monitor_;
  Placing& placing_;
  std::optional<std::string> last_mark_;
};

void work(const AgentConfig& config, const Clock& clock, Intake& intake, Uplink& uplink,
          const UplinkThread& thread, const std::function<bool()>& stop_wanted) {
  bool ended = false;
  while (!stop_wanted() && !thread.done()) {
    if (ended) {  // nothing will come any more: the watermark follows the clock
      std::this_thread::sleep_for(kPatience);
      if (!config.stop_at_end) uplink.appended(clock.now());
    } else if (intake.step(stop_wanted)) {
      ended = true;
      log::info("the source has ended{}", config.stop_at_end ? "; delivering what waits" : "");
      if (config.stop_at_end) uplink.finish();
    }
  }
}

}  // namespace

int run_agent(const AgentConfig& config, const Clock& clock,
              const std::function<bool()>& stop_wanted) {
  const auto spool = Spool::open(config.spool_path, config.spool);
  if (!spool) {
    log::error("{}", spool.error());
    return kExitOperator;
  }
  PlanBoard board;
  const auto source = open_source(config, (*spool)->source_mark(), board, clock);
  if (!source) {
    log::error("{}", source.error());
    return kExitOperator;
  }
  const auto navigation = Navigation::open(config.navigation, clock);
  if (!navigation) {
    log::error("{}", navigation.error());
    return kExitOperator;
  }
  Placing placing(config.navigation.feed == NavFeed::none ? nullptr : navigation->get());
  const auto clock_monitor = make_clock_monitor(config);
  Uplink uplink(config.uplink, **spool, clock, *clock_monitor, &board);
  Intake intake(**source, **spool, uplink, clock, *clock_monitor, placing);
  UplinkThread thread(uplink);
  work(config, clock, intake, uplink, thread, stop_wanted);
  if (!thread.done()) uplink.stop();
  thread.join(config.uplink.shutdown + kCutAfter);
  if (placing.withheld() > 0) {
    log::info("{} bearings were withheld for want of position or heading", placing.withheld());
  }
  const SpoolStatus left = (*spool)->status();
  log::info("stopped; {} bearings wait in the spool", left.waiting);
  return kExitDone;
}

}  // namespace fixwright::agent
