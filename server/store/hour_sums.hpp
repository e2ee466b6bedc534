#pragma once
/// The sums by the hour: station_hour, channel_hour, emitter_hour and hearing_hour. They change in
/// the transaction of the rows that they sum, so each row counts once, whatever is sent again.
/// Private to this folder.

#include <pqxx/pqxx>
#include <set>
#include <string>
#include <vector>

#include "server/model/bearing.hpp"
#include "server/model/transmission.hpp"
#include "server/store/pq.hpp"
#include "server/store/result_writer.hpp"

namespace fixwright::store {

/// Bearings just stored, into station_hour; inside the append's transaction.
void count_in_hours(PqConnection& connection, const std::vector<Bearing>& stored);

/// The transmissions whose rows, or whose fixes' rows, a batch may change.
std::set<TransmissionKey> touched(const ResultBatch& batch);

/// Those that are not settled, or have a fix that is not.
std::set<TransmissionKey> pending_transmissions(pqxx::work& tx);

/// What these transmissions and their fixes count for: taken out before their rows change, put in
/// after. Holds the turn until the transaction ends: nobody else's results change in between.
class HourSums {
 public:
  HourSums(pqxx::work& tx, const std::set<TransmissionKey>& transmissions);
  void take_out() const { count(-1); }
  void put_in() const { count(1); }

 private:
  void count(int sign) const;

  pqxx::work& tx_;
  std::string channels_, transmissions_;  // array literals
  bool empty_;
};

}  // namespace fixwright::store
