#pragma once
/// Values in the invented place Osmere, and SQL asked behind the store's back.

#include <pqxx/pqxx>
#include <string>
#include <string_view>
#include <vector>

#include "server/model/station.hpp"
#include "server/store/database.hpp"
#include "server/store/result_writer.hpp"
#include "tests/support/database.hpp"

namespace fixwright::test {

/// Any date-time of RFC 3339.
TimePoint at(std::string_view rfc3339);

/// LANTERN-HEAD, MOSS-RIDGE, QUILL-POINT and HARROW-HILL: ids 1 to 4 in a new database.
std::vector<Station> osmere_stations();

/// A bearing at `start`, everything optional absent.
Bearing plain_bearing(StationId station, StreamId stream, std::uint64_t sequence, TimePoint start);

/// One with every optional part.
Bearing full_bearing(StationId station, StreamId stream, std::uint64_t sequence, TimePoint start);

/// A cross-fix near the middle of the island, with this ellipse at 95 %.
CrossFix good_solution(double semi_major_m = 400.0, double semi_minor_m = 150.0,
                       double orientation_deg = 30.0);

/// One without a position.
CrossFix refused_solution(Refusal reason);

/// A still, confirmed emitter, heard by three stations.
Emitter sample_emitter(ChannelId channel, std::int64_t id);

/// A fix of a transmission that starts at `start`.
Fix sample_fix(ChannelId channel, TimePoint start, std::int32_t ordinal = 0);

/// The rows of a query, fields separated by "|", NULL as "".
std::vector<std::string> rows(const std::string& connection, const std::string& query);

/// The same over a connection that is open: for many queries.
std::vector<std::string> rows(pqxx::connection& connection, const std::string& query);

/// The rows of a query after a change, which is then rolled back.
std::vector<std::string> rows_then_undo(pqxx::connection& connection, const std::string& change,
                                        const std::string& query);

/// The first field of the first row; "" for none.
std::string value(const std::string& connection, const std::string& query);

/// The database's complaint, first line; "" when it had none.
std::string complaint(const std::string& connection, const std::string& statement);
std::string complaint(pqxx::connection& connection, const std::string& statement);

}  // namespace fixwright::test
