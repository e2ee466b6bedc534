#pragma once
/// What is stored, as people and programs are shown it. Times come back to the microsecond,
/// except those of bearings and identities, which are exact.

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "server/model/bearing.hpp"
#include "server/model/channel.hpp"
#include "server/model/memory.hpp"
#include "server/model/views.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// Each call is one snapshot. Throws DatabaseAway (call again) or DatabaseRefused.
class Reader {
 public:
  explicit Reader(Database& database) : database_(database) {}

  /// By last_heard, newest first, then by key; at most filter.limit of them.
  std::vector<EmitterView> emitters(const EmitterFilter& filter);
  std::optional<EmitterView> emitter(EmitterKey key);
  /// What happened to it, oldest first.
  std::vector<EmitterEvent> events(EmitterKey key);

  /// The fixes of an emitter and of those merged into it, newest first, with what each bearing of
  /// them said. Verdicts of pooled bearings and iterations are not kept.
  std::vector<FixView> fixes(EmitterKey key, std::size_t limit);

  /// One fix, accepted or refused; nothing when there is none or it was withdrawn.
  std::optional<FixView> fix(const FixKey& key);
  /// The accepted fix of the latest time.
  std::optional<FixKey> newest_fix();
  /// The whole bearings of a fix, those that were set aside included, in EventOrder.
  std::vector<Bearing> bearings_of(const FixView& view);

  /// Those that nobody has acknowledged, newest first.
  std::vector<AlertView> open_alerts();
  /// Acknowledged or not, newest first.
  std::vector<AlertView> recent_alerts(std::size_t limit);
  /// Those whose event goes on or ended within a day, acknowledged or not, newest first.
  std::vector<AlertView> lasting_alerts();

  /// The highest revision of any transmission, fix or emitter; 0 for an empty history. A server
  /// that starts goes on from there, or its results would be taken for older ones.
  std::uint32_t highest_revision();

  /// What was remembered of each channel's emitters, by channel.
  std::vector<ChannelMemory> memories();

  Stations stations();
  std::vector<Channel> channels();  // by id

  /// Those that start in [from, to), in EventOrder.
  std::vector<Bearing> bearings(ChannelId channel, TimePoint from, TimePoint to);

 private:
  std::optional<TimePoint> end_of(const TransmissionKey& key);

  Database& database_;
};

}  // namespace fixwright::store
