#pragma once
/// History computed again: what was is set aside, what is takes its place, in one transaction.

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "server/model/ids.hpp"
#include "server/store/database.hpp"
#include "server/store/result_writer.hpp"

namespace fixwright::store {

struct RecomputeOrder {
  TimePoint since;                  // transmissions that start then or later
  std::vector<ChannelId> channels;  // of these; none: of all
  TimePoint at;                     // now
  std::string by;                   // who says so: one line, 1 to 100 bytes
  std::string note;                 // why: one line, at most 2000 bytes
  bool keep = true;                 // false: everything is done, told and then undone
};

struct RecomputeSummary {
  std::int64_t run = 0;
  std::size_t fixes_before = 0;  // with a position
  std::size_t fixes_after = 0;
  std::size_t emitters_before = 0;  // that the stretch told of, retired ones left out
  std::size_t emitters_gone = 0;    // those of them that were not found again
  std::size_t emitters_new = 0;     // that were not known before
  /// How far emitters of before and after are apart, m; nothing: there are none.
  std::optional<double> median_moved_m, largest_moved_m;
};

/// A bearing that is used in a new fix of an emitter.
struct UsedBearing {
  TransmissionKey transmission;
  BearingKey bearing;
  EmitterKey emitter;
};

/// How many bearings an emitter of now (first) and one of before (second) have in common.
using SharedBearings = std::map<std::pair<EmitterKey, EmitterKey>, std::size_t>;

/// Where the new results of a run go, while it is under way.
class RecomputeSink {
 public:
  virtual ~RecomputeSink() = default;

  /// Revisions of the new results begin here: above all that are stored.
  [[nodiscard]] virtual std::uint32_t first_revision() const = 0;
  /// Emitters whose rows are to be made anew: heard since, or something happened to them since.
  [[nodiscard]] virtual const std::set<EmitterKey>& replaced() const = 0;
  /// All emitters that were known before, of the channels.
  [[nodiscard]] virtual const std::set<EmitterKey>& known() const = 0;
  /// Whose fix, of those set aside, each bearing was used in.
  [[nodiscard]] virtual SharedBearings shared(const std::vector<UsedBearing>& bearings) = 0;
  /// As ResultWriter::write; any number of times. Alerts are not looked at.
  virtual void write(const ResultBatch& batch) = 0;
};

class RecomputeBook {
 public:
  explicit RecomputeBook(Database& database) : database_(database) {}

  /// Sets the results of the stretch aside (tables *_before), has `produce` write the new ones,
  /// retires emitters that it didn't write. All or nothing: what `produce` throws passes through,
  /// and the old results stay in force. `produce` may take hours; it must not use `database`
  /// through another object of this folder that takes a connection of the pool, unless there are
  /// two.
  ///
  /// Throws DatabaseRefused when a server writes to this database, or another run does; when `by`
  /// or `note` can't be kept; DatabaseAway.
  RecomputeSummary replace(const RecomputeOrder& order,
                           const std::function<void(RecomputeSink&)>& produce);

  /// True while such a run is under way: no server may start.
  [[nodiscard]] bool running();

 private:
  Database& database_;
};

}  // namespace fixwright::store
