#pragma once
/// Everything computed from bearings, written together.

#include <string_view>
#include <vector>

#include "server/model/alert.hpp"
#include "server/model/bearing_only.hpp"
#include "server/model/delivery.hpp"
#include "server/model/emitter.hpp"
#include "server/model/fix.hpp"
#include "server/model/licence.hpp"
#include "server/model/memory.hpp"
#include "server/model/track.hpp"
#include "server/model/transmission.hpp"
#include "server/store/database.hpp"

namespace fixwright::store {

/// One thing may come several times; its highest revision, else its last, is the one that counts.
struct ResultBatch {
  std::vector<Transmission> transmissions;
  std::vector<Fix> fixes;
  std::vector<Emitter> emitters;
  std::vector<EmitterEvent> events;
  std::vector<TrackPoint> track_points;
  std::vector<BearingOnly> bearing_only;
  std::vector<RegisterMatch> matches;
  std::vector<Alert> alerts;
  std::vector<Delivery> deliveries;  // of alerts; those of a revision go nowhere
  std::vector<ChannelMemory> memories;
};

class ResultWriter {
 public:
  explicit ResultWriter(Database& database) : database_(database) {}

  /// One transaction, all or nothing; idempotent: rows are keyed by identity, and an older
  /// revision never overwrites a newer one. A fix brings its bearings: the former list goes.
  /// A withdrawn fix stays as a row that says so. An acknowledged alert stays acknowledged.
  /// Throws DatabaseAway (call again) or DatabaseRefused.
  void write(const ResultBatch& batch);

  /// For a server that starts and makes the results of all that was heard since `from` anew:
  /// what was pending is withdrawn, emitters born since are retired, and lines begun since end,
  /// until they are written again, which a crash in the middle of a thought may mean never.
  void withdraw_pending(TimePoint from);

  /// \return false when there is no such alert, or it was acknowledged before.
  bool acknowledge_alert(std::string_view id, TimePoint at, std::string_view by);

 private:
  Database& database_;
};

}  // namespace fixwright::store
