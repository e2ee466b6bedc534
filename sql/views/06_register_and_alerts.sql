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
       e.position::geometry(Point, 4326) AS position
FROM alert AS a
LEFT JOIN station AS s ON s.station_id = a.station_id
LEFT JOIN emitter AS e ON e.channel_id = a.channel_id AND e.emitter_id = a.emitter_id;
COMMENT ON VIEW alert_history IS 'Every alert, acknowledged or not. Evidence, never an accusation.';
COMMENT ON COLUMN alert_history.raised_at IS 'Event time, UTC.';
COMMENT ON COLUMN alert_history.station IS 'Name of the station it is about.';
COMMENT ON COLUMN alert_history.acknowledged_at IS 'UTC; null: open.';
COMMENT ON COLUMN alert_history.position IS 'Of the emitter it is about, as known now, WGS84.';

CREATE OR REPLACE VIEW alert_open AS
SELECT alert_id, rule, severity, raised_at, channel_id, emitter_id, station, message, position
FROM alert_history WHERE acknowledged_at IS NULL;
COMMENT ON VIEW alert_open IS 'Alerts nobody has acknowledged yet.';
COMMENT ON COLUMN alert_open.raised_at IS 'Event time, UTC.';
COMMENT ON COLUMN alert_open.position IS 'Of the emitter it is about, as known now, WGS84.';
