#include "server/store/result_writer.hpp"

#include "server/store/alert_rows.hpp"
#include "server/store/hour_sums.hpp"
#include "server/store/pool.hpp"
#include "server/store/upsert.hpp"
#include "server/store/write_results.hpp"

namespace fixwright::store {

void write_batch(pqxx::work& tx, const ResultBatch& batch) {
  // In one order for every caller, so that two of them never wait for each other.
  const HourSums hours(tx, touched(batch));
  hours.take_out();
  write_transmissions(tx, batch.transmissions);
  write_fixes(tx, batch.fixes);
  hours.put_in();
  write_emitters(tx, batch.emitters);
  write_events(tx, batch.events);
  write_track_points(tx, batch.track_points);
  write_bearing_only(tx, batch.bearing_only);
  write_matches(tx, batch.matches);
  write_memories(tx, batch.memories);
}

void ResultWriter::write(const ResultBatch& batch) {
  change(database_, [&](pqxx::work& tx) {
    write_batch(tx, batch);
    write_alerts(tx, batch.alerts, batch.deliveries);
  });
}

void ResultWriter::withdraw_pending(TimePoint from) {
  change(database_, [&](pqxx::work& tx) {
    const HourSums hours(tx, pending_transmissions(tx));
    hours.take_out();
    tx.exec(
        "UPDATE transmission SET state = 'withdrawn' WHERE state IN ('provisional', 'revised')");
    tx.exec("UPDATE fix SET state = 'withdrawn' WHERE state IN ('provisional', 'revised')");
    hours.put_in();
    execute(tx,
            "UPDATE emitter SET state = 'retired' WHERE state <> 'retired' AND "
            "first_heard >= $1::timestamptz",
            {format_rfc3339(from, 6)});
    execute(tx,
            "UPDATE bearing_only SET state = 'ended' WHERE state = 'waiting' AND "
            "first_heard >= $1::timestamptz",
            {format_rfc3339(from, 6)});
  });
}

bool ResultWriter::acknowledge_alert(std::string_view id, TimePoint at, std::string_view by) {
  return change(database_, [&](pqxx::work& tx) {
    return execute(tx,
                   "UPDATE alert SET acknowledged_at = $2::timestamptz, acknowledged_by = $3 "
                   "WHERE alert_id = $1 AND acknowledged_at IS NULL",
                   {std::string(id), format_rfc3339(at, 6), std::string(by)})
               .affected_rows() == 1;
  });
}

}  // namespace fixwright::store
