#include "server/store/bearing_rows.hpp"

#include <algorithm>
#include <array>

#include "server/store/identity.hpp"

namespace fixwright::store {

namespace {

// In the order of encode() and decode().
constexpr std::array<const char*, 23> kColumns{"channel_id",
                                               "start_at",
                                               "stream_id",
                                               "sequence",
                                               "integration_ns",
                                               "clock_error_ns",
                                               "frequency_hz",
                                               "azimuth_deg",
                                               "sigma_deg",
                                               "station_id",
                                               "flags",
                                               "start_ns",
                                               "station_moves",
                                               "station_latitude_deg",
                                               "station_longitude_deg",
                                               "field_strength_dbuv_per_m",
                                               "level_dbfs",
                                               "snr_db",
                                               "bandwidth_hz",
                                               "label",
                                               "alternative_azimuth_deg",
                                               "alternative_weight",
                                               "station_sigma_m"};

std::string columns(const std::string& prefix) {
  std::string text;
  for (const char* column : kColumns) text += (text.empty() ? "" : ", ") + prefix + column;
  return text;
}

const std::string kCopyText = "COPY bearing (" + columns("") + ") FROM STDIN (FORMAT binary)";

// The registered place follows the columns. Stream and sequence are unsigned: their negative
// forms come last. See EventOrder.
const std::string kSelect =
    "SELECT " + columns("b.") +
    ", ST_Y(s.position::geometry), ST_X(s.position::geometry) "
    "FROM bearing AS b LEFT JOIN station AS s ON s.station_id = b.station_id "
    "WHERE b.start_at >= $1::timestamptz AND b.start_at <= $2::timestamptz ";
const std::string kOrder =
    "ORDER BY b.start_at, b.start_ns, b.station_id, b.stream_id < 0, b.stream_id, "
    "b.sequence < 0, b.sequence";

std::vector<double> azimuths(const Bearing& b) {
  std::vector<double> values;
  for (const AlternativeAzimuth& a : b.alternatives) values.push_back(a.azimuth_deg);
  return values;
}

std::vector<double> weights(const Bearing& b) {
  std::vector<double> values;
  for (const AlternativeAzimuth& a : b.alternatives) values.push_back(a.weight);
  return values;
}

void read_measurement(RowReader& row, Bearing& b) {
  b.field_strength_dbuv_per_m = row.optional_real();
  b.level_dbfs = row.optional_real();
  b.snr_db = row.optional_real();
  b.bandwidth_hz = row.optional_real();
  b.label = row.optional_text();
  const auto azimuths_deg = row.reals();
  const auto their_weights = row.reals();
  for (std::size_t i = 0; i < azimuths_deg.size() && i < their_weights.size(); ++i) {
    b.alternatives.push_back({azimuths_deg[i], their_weights[i]});
  }
}

Bearing decode(RowReader row) {
  Bearing b;
  b.channel = row.big();
  b.start = row.time();
  b.key.stream = from_stored(row.big());
  b.key.sequence = from_stored(row.big());
  b.integration = Duration{row.big()};
  b.clock_error = Duration{row.big()};
  b.frequency_hz = row.real();
  b.azimuth_deg = row.real();
  b.sigma_deg = row.real();
  b.key.station = row.integer();
  b.flags = static_cast<std::uint32_t>(row.integer());
  b.start += Duration{row.small()};
  b.station_moves = row.flag();
  const auto own_latitude_deg = row.optional_real();
  const auto own_longitude_deg = row.optional_real();
  read_measurement(row, b);
  b.station_sigma_m = row.optional_real().value_or(0.0);
  const auto latitude_deg = row.optional_real();
  const auto longitude_deg = row.optional_real();
  b.station_position = {own_latitude_deg.value_or(latitude_deg.value_or(0.0)),
                        own_longitude_deg.value_or(longitude_deg.value_or(0.0))};
  return b;
}

void run_query(PqConnection& connection, const std::string& statement,
               std::vector<std::string> parameters, TimePoint from, TimePoint to,
               const std::function<void(const Bearing&)>& each) {
  connection.start(statement.c_str(), parameters);
  while (const PqResult row = connection.next()) {
    const Bearing bearing = decode(RowReader(row.get(), 0));
    // The statement compares microseconds, rounded down.
    if (bearing.start >= from && bearing.start < to) each(bearing);
  }
}

/// The ends of time have no whole day around them, which writing a date needs.
std::string day_safe(TimePoint t) {
  constexpr auto kDay = std::chrono::days(1);
  return format_rfc3339(std::clamp(t, TimePoint::min() + kDay, TimePoint::max() - kDay), 6);
}

}  // namespace

const char* const kCopyBearings = kCopyText.c_str();

void encode(const Bearing& b, CopyBuffer& buffer) {
  buffer.begin_row(static_cast<int>(kColumns.size()));
  buffer.add(b.channel);
  buffer.add_time(b.start);
  buffer.add(as_stored(b.key.stream));
  buffer.add(as_stored(b.key.sequence));
  buffer.add(std::int64_t{b.integration.count()});
  buffer.add(std::int64_t{b.clock_error.count()});
  buffer.add(b.frequency_hz);
  buffer.add(b.azimuth_deg);
  buffer.add(b.sigma_deg);
  buffer.add(b.key.station);
  buffer.add(static_cast<std::int32_t>(b.flags));
  buffer.add(static_cast<std::int16_t>((b.start - to_microseconds(b.start)).count()));
  buffer.add(b.station_moves);
  buffer.add(b.station_moves ? std::optional(b.station_position.latitude_deg) : std::nullopt);
  buffer.add(b.station_moves ? std::optional(b.station_position.longitude_deg) : std::nullopt);
  buffer.add(b.field_strength_dbuv_per_m);
  buffer.add(b.level_dbfs);
  buffer.add(b.snr_db);
  buffer.add(b.bandwidth_hz);
  buffer.add(b.label);
  buffer.add(azimuths(b));
  buffer.add(weights(b));
  buffer.add(b.station_moves ? std::optional(b.station_sigma_m) : std::nullopt);
}

void each_of_day(PqConnection& connection, TimePoint from, TimePoint to,
                 const std::function<void(const Bearing&)>& each) {
  run_query(connection, kSelect + kOrder, {day_safe(from), day_safe(to)}, from, to, each);
}

void each_of_channel(PqConnection& connection, ChannelId channel, TimePoint from, TimePoint to,
                     const std::function<void(const Bearing&)>& each) {
  run_query(connection, kSelect + "AND b.channel_id = $3::bigint " + kOrder,
            {day_safe(from), day_safe(to), std::to_string(channel)}, from, to, each);
}

}  // namespace fixwright::store
