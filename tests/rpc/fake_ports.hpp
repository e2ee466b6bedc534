#pragma once
/// The rest of the server, as tests need it: remembers what it was asked, answers as told.

#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <stdexcept>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "server/rpc/decision_port.hpp"
#include "server/rpc/query_port.hpp"
#include "server/rpc/station_port.hpp"

namespace fixwright::rpc {

/// How long a test waits for what must come. Long, because it only passes when it fails.
inline constexpr std::chrono::seconds kPatience{20};

class FakeStations final : public StationPort {
 public:
  struct Submitted {
    SessionId session = 0;
    std::vector<Bearing> bearings;
    std::function<void(BatchOutcome)> done;
  };

  std::variant<Grant, OpenDenied> open(const HelloRequest& hello) override {
    const std::lock_guard lock(mutex_);
    hellos.push_back(hello);
    if (open_throws) throw std::runtime_error("store: lost the database");
    if (denial) return *denial;
    Grant granted = grant;
    granted.session = ++last_session_;
    ++open_sessions_;
    return granted;
  }

  void submit(SessionId session, std::vector<Bearing> bearings,
              std::function<void(BatchOutcome)> done) override {
    if (at_once) return done(at_once(bearings));
    if (later) {
      const std::uint64_t last = bearings.empty() ? 0 : bearings.back().key.sequence;
      return later([this, session, last, done = std::move(done)] { finish(session, last, done); });
    }
    const std::lock_guard lock(mutex_);
    submitted_.push_back({session, std::move(bearings), std::move(done)});
    changed_.notify_all();
  }

  void heartbeat(SessionId /*session*/, const Heartbeat& heartbeat) override {
    const std::lock_guard lock(mutex_);
    heartbeats.push_back(heartbeat);
    changed_.notify_all();
  }

  void close(SessionId session) override {
    const std::lock_guard lock(mutex_);
    ++closes_[session];
    --open_sessions_;
    changed_.notify_all();
  }

  /// The batch with this index, counted over all sessions; waits for it.
  Submitted batch(std::size_t index) {
    std::unique_lock lock(mutex_);
    EXPECT_TRUE(changed_.wait_for(lock, kPatience, [&] { return submitted_.size() > index; }));
    return submitted_.at(index);
  }

  std::size_t batches() {
    const std::lock_guard lock(mutex_);
    return submitted_.size();
  }

  bool wait_for_heartbeats(std::size_t count) {
    std::unique_lock lock(mutex_);
    return changed_.wait_for(lock, kPatience, [&] { return heartbeats.size() >= count; });
  }

  /// Whether every session that was granted ends.
  bool wait_until_closed() {
    std::unique_lock lock(mutex_);
    return changed_.wait_for(lock, kPatience, [&] { return open_sessions_ == 0; });
  }

  /// How often close() came, by session.
  std::map<SessionId, int> closes() {
    const std::lock_guard lock(mutex_);
    return closes_;
  }

  // Set before the first call.
  Grant grant{0,
              0,
              {{{12, "harbour", 156.8e6, 25e3}}, 12.5e3},
              {100, 1000, 1000},
              std::chrono::seconds{1},
              std::chrono::seconds{20}};
  std::optional<OpenDenied> denial;
  bool open_throws = false;
  std::function<BatchOutcome(const std::vector<Bearing>&)> at_once;  // inside submit()

  std::function<void(std::function<void()>)> later;  // runs a batch's end elsewhere

  std::vector<HelloRequest> hellos;
  std::vector<Heartbeat> heartbeats;

 private:
  /// done() holds the lock that close() takes, as the real port does: it never comes after.
  void finish(SessionId session, std::uint64_t last,
              const std::function<void(BatchOutcome)>& done) {
    const std::lock_guard lock(mutex_);
    if (!closes_.contains(session)) done(BatchDone{last, {}});
  }

  std::mutex mutex_;
  std::condition_variable changed_;
  SessionId last_session_ = 0;
  int open_sessions_ = 0;
  std::vector<Submitted> submitted_;
  std::map<SessionId, int> closes_;
};

/// Keeps what is decided, numbers it, and refuses what `refusal` says.
class FakeDecisions final : public DecisionPort {
 public:
  Result<EmitterDecision> decide(const EmitterDecision& wish) override {
    const std::lock_guard lock(mutex_);
    if (away) throw std::runtime_error("the database is away");
    if (!refusal.empty()) return Error{refusal};
    decided.push_back(wish);
    EmitterDecision kept = wish;
    kept.id = static_cast<std::int64_t>(decided.size());
    kept.at = TimePoint{std::chrono::seconds{1'900'000'000}};
    return kept;
  }
  bool acknowledge_alert(const std::string& id, const std::string& by) override {
    const std::lock_guard lock(mutex_);
    acknowledged.push_back(id + " by " + by);
    return id == "open";
  }

  bool away = false;
  std::string refusal;
  std::vector<EmitterDecision> decided;
  std::vector<std::string> acknowledged;

 private:
  std::mutex mutex_;
};

class FakeQueries final : public QueryPort {
 public:
  std::vector<EmitterView> emitters(const EmitterFilter& filter) override {
    throw_if_away();
    const std::lock_guard lock(mutex_);
    filters.push_back(filter);
    std::vector<EmitterView> page;
    for (const auto& view : stored_emitters) {
      const std::pair place{view.emitter.last_heard, view.emitter.key};
      const bool before =
          filter.after &&
          (place.first > filter.after->first ||
           (place.first == filter.after->first && place.second <= filter.after->second));
      if (!before && page.size() < filter.limit) page.push_back(view);
    }
    return page;
  }
  std::optional<EmitterView> emitter(EmitterKey key) override {
    throw_if_away();
    for (const auto& view : stored_emitters) {
      if (view.emitter.key == key) return view;
    }
    return std::nullopt;
  }
  std::vector<FixView> fixes(EmitterKey /*key*/, std::size_t limit) override {
    throw_if_away();
    const std::size_t count = std::min(limit, stored_fixes.size());
    return {stored_fixes.begin(), stored_fixes.begin() + static_cast<std::ptrdiff_t>(count)};
  }
  std::vector<AlertView> open_alerts() override {
    throw_if_away();
    return stored_alerts;
  }
  std::vector<StationView> stations() override {
    throw_if_away();
    return stored_stations;
  }
  std::unique_ptr<Subscription> watch_emitters(
      std::function<void(const EmitterView&)> each) override {
    return emitter_watchers.add(std::move(each));
  }
  std::unique_ptr<Subscription> watch_alerts(std::function<void(const AlertView&)> each) override {
    return alert_watchers.add(std::move(each));
  }

  /// Subscribers, called one after the other with the lock held: the end of a subscription
  /// waits for a call that runs, as in the real hub.
  template <typename View>
  class Watchers {
   public:
    std::unique_ptr<Subscription> add(std::function<void(const View&)> each) {
      const std::lock_guard lock(mutex_);
      each_.emplace(++last_, std::move(each));
      changed_.notify_all();
      return std::make_unique<Entry>(*this, last_);
    }
    void tell(const View& view) {
      const std::lock_guard lock(mutex_);
      for (const auto& [id, each] : each_) each(view);
    }
    bool wait_for_count(std::size_t count) {
      std::unique_lock lock(mutex_);
      return changed_.wait_for(lock, kPatience, [&] { return each_.size() == count; });
    }

   private:
    struct Entry final : Subscription {
      Entry(Watchers& all, int number) : watchers(all), id(number) {}
      ~Entry() override {
        const std::lock_guard lock(watchers.mutex_);
        watchers.each_.erase(id);
        watchers.changed_.notify_all();
      }
      Watchers& watchers;
      int id;
    };
    std::mutex mutex_;
    std::condition_variable changed_;
    int last_ = 0;
    std::map<int, std::function<void(const View&)>> each_;
  };

  std::atomic<bool> away = false;
  std::vector<EmitterView> stored_emitters;  // in the order of the port
  std::vector<FixView> stored_fixes;
  std::vector<AlertView> stored_alerts;
  std::vector<StationView> stored_stations;
  std::vector<EmitterFilter> filters;
  Watchers<EmitterView> emitter_watchers;
  Watchers<AlertView> alert_watchers;

 private:
  void throw_if_away() const {
    if (away) throw std::runtime_error("store: lost the database");
  }
  std::mutex mutex_;
};

}  // namespace fixwright::rpc
