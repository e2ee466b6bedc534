#include "server/store/hour_sums.hpp"

#include <map>
#include <utility>

#include "server/store/identity.hpp"
#include "server/store/text_array.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

struct StationHour {
  std::int64_t bearings = 0;
  std::int64_t minutes = 0;  // a bit a minute
};

}  // namespace

void count_in_hours(PqConnection& connection, const std::vector<Bearing>& stored) {
  std::map<std::pair<StationId, TimePoint>, StationHour> sums;
  for (const Bearing& b : stored) {
    const TimePoint hour = std::chrono::floor<std::chrono::hours>(b.start);
    StationHour& sum = sums[{b.key.station, hour}];
    ++sum.bearings;
    sum.minutes |= std::int64_t{1}
                   << std::chrono::floor<std::chrono::minutes>(b.start - hour).count();
  }
  TextArray stations, hours, bearings, minutes;
  for (const auto& [key, sum] : sums) {
    stations.add(key.first);
    hours.add(key.second);
    bearings.add(sum.bearings);
    minutes.add(sum.minutes);
  }
  // In rising order of the keys, so that two appends never wait for each other.
  connection.ask(
      "INSERT INTO station_hour AS old (station_id, hour, bearings, minutes) "
      "SELECT * FROM unnest($1::integer[], $2::timestamptz[], $3::bigint[], $4::bigint[]) "
      "ON CONFLICT (station_id, hour) DO UPDATE SET bearings = old.bearings + excluded.bearings, "
      "minutes = old.minutes | excluded.minutes",
      {stations.literal(), hours.literal(), bearings.literal(), minutes.literal()});
}

std::set<TransmissionKey> touched(const ResultBatch& batch) {
  std::set<TransmissionKey> keys;
  for (const Transmission& t : batch.transmissions) keys.insert(t.key);
  for (const Fix& f : batch.fixes) keys.insert(f.key.transmission);
  return keys;
}

std::set<TransmissionKey> pending_transmissions(pqxx::work& tx) {
  std::set<TransmissionKey> keys;
  for (const pqxx::row& row : tx.exec("SELECT channel_id, transmission_id FROM transmission "
                                      "WHERE state IN ('provisional', 'revised') "
                                      "UNION SELECT channel_id, transmission_id FROM fix "
                                      "WHERE state IN ('provisional', 'revised')")) {
    keys.insert(transmission_key(row[0].as<ChannelId>(), row[1].as<std::int64_t>()));
  }
  return keys;
}

HourSums::HourSums(pqxx::work& tx, const std::set<TransmissionKey>& transmissions)
    : tx_(tx), empty_(transmissions.empty()) {
  TextArray channels, ids;
  for (const TransmissionKey& key : transmissions) {
    channels.add(key.channel);
    ids.add(transmission_id(key));
  }
  channels_ = channels.literal();
  transmissions_ = ids.literal();
  if (!empty_) tx_.exec("SELECT FROM hour_turn FOR UPDATE");
}

void HourSums::count(int sign) const {
  if (empty_) return;
  execute(tx_, "SELECT count_results($1::bigint[], $2::bigint[], $3::integer)",
          {channels_, transmissions_, std::to_string(sign)});
}

}  // namespace fixwright::store
