-- The register and the alerts.
CREATE OR REPLACE VIEW licence_list AS
SELECT licence_id, holder, service, position::geometry(Point, 4326) AS position,
       position_sigma_m, frequency_hz, bandwidth_hz, valid_from, valid_until,
       power_w, emission, import_id
FROM licence;
COMMENT ON VIEW licence_list IS 'The register of licensed transmitters as last imported. Columns as in table licence.';
COMMENT ON COLUMN licence_list.position IS 'WGS84.';

CREATE OR REPLACE VIEW licence_history AS
SELECT licence_id, import_id, until_import_id, until_at, became, holder, service,
       position::geometry(Point, 4326) AS position, position_sigma_m, frequency_hz, bandwidth_hz,
       valid_from, valid_until, power_w, emission
FROM licence_version
UNION ALL
SELECT licence_id, import_id, NULL, NULL, 'stands', holder, service, position::geometry(Point, 4326),
       position_sigma_m, frequency_hz, bandwidth_hz, valid_from, valid_until, power_w, emission
FROM licence;
COMMENT ON VIEW licence_history IS 'Every version of every entry of the register. Columns as in table licence_version.';
COMMENT ON COLUMN licence_history.became IS 'changed or ended by until_import_id; or stands.';
COMMENT ON COLUMN licence_history.position IS 'WGS84.';

CREATE OR REPLACE VIEW register_import_list AS
SELECT import_id, imported_at, source, added, changed, ended, unchanged, refused
FROM register_import;
COMMENT ON VIEW register_import_list IS 'Every import of the register. Columns as in table register_import.';

CREATE OR REPLACE VIEW register_opinion_list AS
SELECT channel_id, emitter_id, opinion, verdict, licence_id, note, decided_by, decided_at
FROM register_opinion;
COMMENT ON VIEW register_opinion_list IS 'People''s word on emitters, against or beside the register''s; the latest of an emitter counts.';

CREATE OR REPLACE VIEW alert_history AS
SELECT a.alert_id, a.rule, a.severity, a.raised_at, a.channel_id, a.emitter_id,
       s.name AS station, a.message, a.acknowledged_at, a.acknowledged_by,
       e.position::geometry(Point, 4326) AS position,
       a.ended_at, a.muted, station_names(a.stations) AS stations, a.posterior, a.would_change
FROM alert AS a
LEFT JOIN station AS s ON s.station_id = a.station_id
LEFT JOIN emitter AS e ON e.channel_id = a.channel_id AND e.emitter_id = a.emitter_id;
COMMENT ON VIEW alert_history IS 'Every alert, acknowledged or not. Evidence, never an accusation.';
COMMENT ON COLUMN alert_history.raised_at IS 'Event time, UTC.';
COMMENT ON COLUMN alert_history.station IS 'Name of the station it is about.';
COMMENT ON COLUMN alert_history.acknowledged_at IS 'UTC; null: open.';
COMMENT ON COLUMN alert_history.position IS 'Of the emitter it is about, as known now, WGS84.';
COMMENT ON COLUMN alert_history.ended_at IS 'When what it tells ended, UTC; null: it goes on.';
COMMENT ON COLUMN alert_history.muted IS 'Somebody asked not to be told of such.';
COMMENT ON COLUMN alert_history.stations IS 'That heard the emitter, or that it is about.';
COMMENT ON COLUMN alert_history.posterior IS 'Probability of the register''s verdict, [0, 1].';
COMMENT ON COLUMN alert_history.would_change IS 'What would change it.';

CREATE OR REPLACE VIEW alert_open AS
SELECT alert_id, rule, severity, raised_at, channel_id, emitter_id, station, message, position,
       ended_at, muted, stations, posterior, would_change
FROM alert_history WHERE acknowledged_at IS NULL;
COMMENT ON VIEW alert_open IS 'Alerts nobody has acknowledged yet.';
COMMENT ON COLUMN alert_open.raised_at IS 'Event time, UTC.';
COMMENT ON COLUMN alert_open.position IS 'Of the emitter it is about, as known now, WGS84.';

CREATE OR REPLACE VIEW alert_region AS
SELECT alert_id, rule, severity, raised_at, ended_at, channel_id, emitter_id, probability,
       ellipse_polygon(position, semi_major_m, semi_minor_m, orientation_deg)
           ::geometry(MultiPolygon, 4326) AS region
FROM alert WHERE semi_major_m IS NOT NULL;
COMMENT ON VIEW alert_region IS 'Where each alert''s emitter was when it was raised: evidence, never proof of who transmits.';
COMMENT ON COLUMN alert_region.region IS 'The ellipse that holds the emitter with the stated probability, WGS84.';

CREATE OR REPLACE VIEW alert_rule_list AS
SELECT rule, enabled, severity, hold_down_s, set_by, set_at FROM alert_rule;
COMMENT ON VIEW alert_rule_list IS 'Rules of alerts that people set over the configured ones. Columns as in table alert_rule.';

CREATE OR REPLACE VIEW watched_area_list AS
SELECT name, radius_m, days, from_minute, to_minute, low_hz, high_hz, set_by, set_at,
       ellipse_polygon(centre, radius_m, radius_m, 0)::geometry(MultiPolygon, 4326) AS area
FROM watched_area;
COMMENT ON VIEW watched_area_list IS 'Where and when any emitter that is heard is worth an alert. Columns as in table watched_area.';
COMMENT ON COLUMN watched_area_list.area IS 'WGS84.';

CREATE OR REPLACE VIEW alert_mute_list AS
SELECT mute_id, rule, channel_id, emitter_id, s.name AS station, until_at, muted_by, muted_at,
       note, ended_by, ended_at
FROM alert_mute AS m LEFT JOIN station AS s ON s.station_id = m.station_id;
COMMENT ON VIEW alert_mute_list IS 'Alerts that nobody is told of for a while. Columns as in table alert_mute.';
