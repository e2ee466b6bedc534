-- Alerts
-- What was worth telling, where it was; alerts about no place are left out. Evidence, never an
-- accusation.
SELECT alert_id AS id, message AS title, raised_at AS begin_at, ended_at AS end_at, rule, severity,
       channel_id, emitter_id, station, stations, posterior, would_change, acknowledged_at,
       acknowledged_by, position AS geometry
FROM alert_history WHERE position IS NOT NULL
