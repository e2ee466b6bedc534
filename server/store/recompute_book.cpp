#include "server/store/recompute_book.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <iterator>

#include "server/base/text.hpp"
#include "server/store/hour_sums.hpp"
#include "server/store/pool.hpp"
#include "server/store/recompute_rows.hpp"
#include "server/store/write_results.hpp"

namespace fixwright::store {

namespace {

/// Ends a transaction that is not to be kept; never leaves this file.
struct NotKept {};

void check_text(std::string_view what, const std::string& text, std::size_t longest) {
  if (one_line(text) == text && text.size() <= longest) return;
  throw DatabaseRefused(
      fmt::format("{} = \"{}\": must be one line of plain UTF-8 text of {} bytes at most; "
                  "nothing was changed",
                  what, one_line(text, longest), longest));
}

class OpenRun final : public RecomputeSink {
 public:
  OpenRun(pqxx::work& tx, const RecomputeOrder& order)
      : tx_(tx),
        stretch_(begin_run(tx, order)),
        known_(known_emitters(tx, stretch_)),
        replaced_(set_aside(tx, stretch_)) {}

  [[nodiscard]] std::uint32_t first_revision() const override { return stretch_.revision; }
  [[nodiscard]] const std::set<EmitterKey>& replaced() const override { return replaced_; }
  [[nodiscard]] const std::set<EmitterKey>& known() const override { return known_; }

  [[nodiscard]] SharedBearings shared(const std::vector<UsedBearing>& bearings) override {
    return shared_bearings(tx_, stretch_, bearings);
  }

  void write(const ResultBatch& batch) override {
    write_batch(tx_, batch);
    for (const Emitter& e : batch.emitters) written_.insert(e.key);
  }

  RecomputeSummary close(TimePoint at) {
    std::set<EmitterKey> gone, added;
    std::set_difference(replaced_.begin(), replaced_.end(), written_.begin(), written_.end(),
                        std::inserter(gone, gone.end()));
    std::set_difference(written_.begin(), written_.end(), known_.begin(), known_.end(),
                        std::inserter(added, added.end()));
    retire(tx_, stretch_, gone, at);
    return count_run(tx_, stretch_, added.size());
  }

 private:
  pqxx::work& tx_;
  const RecomputeStretch stretch_;
  const std::set<EmitterKey> known_;
  const std::set<EmitterKey> replaced_;
  std::set<EmitterKey> written_;
};

}  // namespace

RecomputeSummary RecomputeBook::replace(const RecomputeOrder& order,
                                        const std::function<void(RecomputeSink&)>& produce) {
  if (order.by.empty()) throw DatabaseRefused("nobody says so: give who; nothing was changed");
  check_text("by", order.by, 100);
  check_text("note", order.note, 2000);
  RecomputeSummary summary;
  try {
    change(database_, [&](pqxx::work& tx) {
      take_turn(tx);
      OpenRun run(tx, order);
      produce(run);
      summary = run.close(order.at);
      if (!order.keep) throw NotKept{};
    });
  } catch (const NotKept&) {
  }
  return summary;
}

bool RecomputeBook::running() {
  return change(database_, [](pqxx::work& tx) {
    return !tx.exec1("SELECT pg_try_advisory_xact_lock_shared(hashtext('recompute_run'))")[0]
                .as<bool>();
  });
}

}  // namespace fixwright::store
