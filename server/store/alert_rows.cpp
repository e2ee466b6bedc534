#include "server/store/alert_rows.hpp"

#include "server/store/rows.hpp"
#include "server/store/upsert.hpp"

namespace fixwright::store {

namespace {

constexpr auto kReal = "double precision";

std::string station_ids(const Alert& alert) {
  TextArray array;
  for (const StationId id : alert.evidence.stations) array.add(id);
  return array.literal();
}

/// Adds one member of the ellipse, NULL for an alert without one.
auto region(double ErrorEllipse::*member) {
  return [member](TextArray& a, const Alert& t) {
    const auto& ellipse = t.evidence.region;
    ellipse ? a.add((*ellipse).*member) : a.add_null();
  };
}

/// Acknowledgement is not among them: it is a person's, and outlives every revision.
std::vector<Column<Alert>> columns() {
  using A = Alert;
  return {
      {"alert_id", "text", [](TextArray& a, const A& t) { a.add(t.id); }, true},
      {"rule", "text", [](TextArray& a, const A& t) { a.add(t.rule); }},
      {"severity", "text", [](TextArray& a, const A& t) { a.add(to_string(t.severity)); }},
      {"raised_at", "timestamptz", [](TextArray& a, const A& t) { a.add(t.raised_at); }},
      {"channel_id", "bigint",
       [](TextArray& a, const A& t) { t.emitter ? a.add(t.emitter->channel) : a.add_null(); }},
      {"emitter_id", "bigint",
       [](TextArray& a, const A& t) { t.emitter ? a.add(t.emitter->id) : a.add_null(); }},
      {"station_id", "integer", [](TextArray& a, const A& t) { a.add(t.station); }},
      {"message", "text", [](TextArray& a, const A& t) { a.add(t.message); }},
      {"stations", "text", [](TextArray& a, const A& t) { a.add(station_ids(t)); }, false,
       "integer[]"},
      {"position", "text", [](TextArray& a, const A& t) { a.add(t.evidence.position); }, false,
       "geography"},
      {"semi_major_m", kReal, region(&ErrorEllipse::semi_major_m)},
      {"semi_minor_m", kReal, region(&ErrorEllipse::semi_minor_m)},
      {"orientation_deg", kReal, region(&ErrorEllipse::orientation_deg)},
      {"probability", kReal, region(&ErrorEllipse::probability)},
      {"posterior", kReal, [](TextArray& a, const A& t) { a.add(t.evidence.posterior); }},
      {"would_change", "text", [](TextArray& a, const A& t) { a.add(t.evidence.would_change); }},
      {"ended_at", "timestamptz", [](TextArray& a, const A& t) { a.add(t.ended_at); }},
      {"muted", "boolean", [](TextArray& a, const A& t) { a.add(t.muted); }},
  };
}

AlertEvidence read_evidence(const pqxx::row& row) {
  AlertEvidence e;
  e.stations = numbers<StationId>(row["stations"]);
  if (!row["latitude_deg"].is_null()) {
    e.position = {row["latitude_deg"].as<double>(), row["longitude_deg"].as<double>()};
  }
  if (!row["semi_major_m"].is_null()) {
    e.region = {row["semi_major_m"].as<double>(), row["semi_minor_m"].as<double>(),
                row["orientation_deg"].as<double>(), row["probability"].as<double>()};
  }
  e.posterior = optional<double>(row["posterior"]);
  e.would_change = row["would_change"].as<std::string>();
  return e;
}

/// Ids of alerts that are not in the table yet, as the literal of an array.
std::string new_ones(pqxx::work& tx, const std::vector<Alert>& alerts) {
  TextArray ids;
  for (const Alert& a : alerts) ids.add(a.id);
  return execute(
             tx,
             "SELECT coalesce(array_agg(DISTINCT id), '{}')::text FROM unnest($1::text[]) AS id "
             "WHERE NOT EXISTS (SELECT FROM alert WHERE alert_id = id)",
             {ids.literal()})
      .at(0)[0]
      .as<std::string>();
}

/// A revision is told to nobody anew: only those of `fresh` go in.
void put_in_outbox(pqxx::work& tx, const std::string& fresh,
                   const std::vector<Delivery>& deliveries) {
  TextArray alerts;
  TextArray occasions;
  TextArray destinations;
  TextArray times;
  TextArray gathered;
  for (const Delivery& d : deliveries) {
    alerts.add(d.alert);
    occasions.add(to_string(d.occasion));
    destinations.add(d.destination);
    times.add(d.not_before);
    gathered.add(d.gathered);
  }
  execute(tx,
          "INSERT INTO alert_outbox (alert_id, occasion, destination, not_before, next_try_at, "
          "gathered) SELECT a, o, d, t, t, g FROM unnest($2::text[], $3::text[], $4::text[], "
          "$5::timestamptz[], $6::boolean[]) AS n(a, o, d, t, g) WHERE a = ANY($1::text[]) "
          "ON CONFLICT DO NOTHING",
          {fresh, alerts.literal(), occasions.literal(), destinations.literal(), times.literal(),
           gathered.literal()});
}

/// A payload has less than 8000 bytes: a message of 500 characters of 4 bytes fits.
void notify(pqxx::work& tx, const std::string& fresh) {
  execute(tx,
          "SELECT pg_notify('fixwright_alert', json_build_object('alert', left(alert_id, 500), "
          "'rule', rule, 'severity', severity, 'muted', muted, 'message', left(message, 500))"
          "::text) FROM alert WHERE alert_id = ANY($1::text[]) ORDER BY alert_id",
          {fresh});
}

AlertView read_alert(const pqxx::row& row) {
  AlertView view;
  Alert& a = view.alert;
  a.id = row["alert_id"].as<std::string>();
  a.rule = row["rule"].as<std::string>();
  a.severity = word<AlertSeverity>(row["severity"], AlertSeverity::urgent);
  a.raised_at = time(row["raised_us"]);
  if (!row["emitter_id"].is_null()) {
    a.emitter = {row["channel_id"].as<ChannelId>(), row["emitter_id"].as<std::int64_t>()};
  }
  a.station = optional<StationId>(row["station_id"]);
  a.message = row["message"].as<std::string>();
  a.evidence = read_evidence(row);
  a.ended_at = optional_time(row["ended_us"]);
  a.muted = row["muted"].as<bool>();
  view.acknowledged_at = optional_time(row["acknowledged_us"]);
  view.acknowledged_by = optional<std::string>(row["acknowledged_by"]).value_or("");
  return view;
}

std::string selected() {
  return "alert_id, rule, severity, channel_id, emitter_id, station_id, message, stations, "
         "ST_Y(position::geometry) AS latitude_deg, ST_X(position::geometry) AS longitude_deg, "
         "semi_major_m, semi_minor_m, orientation_deg, probability, posterior, would_change, "
         "muted, acknowledged_by, " +
         as_microseconds("raised_at", "raised_us") + ", " +
         as_microseconds("ended_at", "ended_us") + ", " +
         as_microseconds("acknowledged_at", "acknowledged_us");
}

}  // namespace

void write_alerts(pqxx::work& tx, const std::vector<Alert>& alerts,
                  const std::vector<Delivery>& deliveries) {
  if (alerts.empty()) return;
  const std::string fresh = new_ones(tx, alerts);
  const auto last = latest(
      alerts, [](const Alert& a) { return a.id; }, [](const Alert&) { return 0; });
  upsert(tx, "alert", fill(columns(), last), Guard::none);
  put_in_outbox(tx, fresh, deliveries);
  notify(tx, fresh);
}

std::vector<AlertView> select_alerts(pqxx::transaction_base& tx, const std::string& where,
                                     const std::vector<std::optional<std::string>>& parameters) {
  std::vector<AlertView> views;
  for (const pqxx::row& row : execute(tx,
                                      "SELECT " + selected() + " FROM alert WHERE " + where +
                                          " ORDER BY raised_at DESC, alert_id",
                                      parameters)) {
    views.push_back(read_alert(row));
  }
  return views;
}

}  // namespace fixwright::store
