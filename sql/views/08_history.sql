-- What was heard, hour by hour. An hour begins at hour, UTC; ask for a stretch of it.
CREATE OR REPLACE VIEW station_by_hour AS
SELECT s.name AS station, date_bin('1 hour', b.start_at, '2000-01-01 00:00Z') AS hour,
       count(*) AS bearings, count(DISTINCT date_bin('1 minute', b.start_at, '2000-01-01 00:00Z')) AS minutes
FROM bearing AS b JOIN station AS s ON s.station_id = b.station_id
GROUP BY 1, 2;
COMMENT ON VIEW station_by_hour IS 'Bearings of each station; an hour without any has no row.';
COMMENT ON COLUMN station_by_hour.station IS 'Name of the station.';
COMMENT ON COLUMN station_by_hour.hour IS 'Its begin, UTC; a bearing counts where it starts.';
COMMENT ON COLUMN station_by_hour.bearings IS 'How many started in it.';
COMMENT ON COLUMN station_by_hour.minutes IS 'Minutes of it in which one started, 1 to 60.';

CREATE OR REPLACE VIEW channel_by_hour AS
SELECT t.channel_id, h.hour,
       count(*) FILTER (WHERE t.start_at >= h.hour) AS transmissions,
       sum(extract(epoch FROM least(t.end_at, h.hour + interval '1 hour')
                              - greatest(t.start_at, h.hour)))::double precision AS busy_s
FROM transmission AS t CROSS JOIN LATERAL
     generate_series(date_bin('1 hour', t.start_at, '2000-01-01 00:00Z'), t.end_at,
                     interval '1 hour') AS h (hour)
WHERE t.state <> 'withdrawn'
GROUP BY t.channel_id, h.hour;
COMMENT ON VIEW channel_by_hour IS 'How long each channel was busy; an hour without a transmission has no row.';
COMMENT ON COLUMN channel_by_hour.channel_id IS 'From the channel plan, or 1000000 + raster slot.';
COMMENT ON COLUMN channel_by_hour.hour IS 'Its begin, UTC.';
COMMENT ON COLUMN channel_by_hour.transmissions IS 'How many started in it.';
COMMENT ON COLUMN channel_by_hour.busy_s IS 'Transmissions'' length inside the hour, s, 0 to 3600; pauses shorter than the one that ends a transmission count as busy.';

CREATE OR REPLACE VIEW emitter_by_hour AS
SELECT f.channel_id, f.emitter_id, h.hour,
       count(*) FILTER (WHERE t.start_at >= h.hour) AS transmissions,
       sum(extract(epoch FROM least(t.end_at, h.hour + interval '1 hour')
                              - greatest(t.start_at, h.hour)))::double precision AS on_s
FROM (SELECT DISTINCT channel_id, transmission_id, emitter_id FROM fix
      WHERE state <> 'withdrawn' AND emitter_id IS NOT NULL) AS f
JOIN transmission AS t ON t.channel_id = f.channel_id AND t.transmission_id = f.transmission_id
CROSS JOIN LATERAL
     generate_series(date_bin('1 hour', t.start_at, '2000-01-01 00:00Z'), t.end_at,
                     interval '1 hour') AS h (hour)
WHERE t.state <> 'withdrawn'
GROUP BY f.channel_id, f.emitter_id, h.hour;
COMMENT ON VIEW emitter_by_hour IS 'When each emitter was on; an hour in which it wasn''t heard has no row.';
COMMENT ON COLUMN emitter_by_hour.channel_id IS 'As in emitter_latest.';
COMMENT ON COLUMN emitter_by_hour.emitter_id IS 'As in emitter_latest.';
COMMENT ON COLUMN emitter_by_hour.hour IS 'Its begin, UTC.';
COMMENT ON COLUMN emitter_by_hour.transmissions IS 'With a fix of it, made or refused; where they start.';
COMMENT ON COLUMN emitter_by_hour.on_s IS 'Their length inside the hour, s; of one that two emitters share, both have all.';

CREATE OR REPLACE VIEW hearing_by_hour AS
SELECT p.channel_id, p.emitter_id, p.hour, s.name AS station, count(*) AS transmissions
FROM (SELECT DISTINCT b.channel_id, b.transmission_id, b.station_id, f.emitter_id,
             date_bin('1 hour', t.start_at, '2000-01-01 00:00Z') AS hour
      FROM fix_bearing AS b
      JOIN fix AS f ON f.channel_id = b.channel_id AND f.transmission_id = b.transmission_id
                   AND f.ordinal = b.ordinal
      JOIN transmission AS t ON t.channel_id = b.channel_id
                            AND t.transmission_id = b.transmission_id
      WHERE b.used AND f.state <> 'withdrawn' AND t.state <> 'withdrawn'
        AND f.emitter_id IS NOT NULL) AS p
JOIN station AS s ON s.station_id = p.station_id
GROUP BY p.channel_id, p.emitter_id, p.hour, s.name;
COMMENT ON VIEW hearing_by_hour IS 'Which station heard which emitter: with a bearing that its fix used.';
COMMENT ON COLUMN hearing_by_hour.channel_id IS 'As in emitter_latest.';
COMMENT ON COLUMN hearing_by_hour.emitter_id IS 'As in emitter_latest.';
COMMENT ON COLUMN hearing_by_hour.hour IS 'Its begin, UTC.';
COMMENT ON COLUMN hearing_by_hour.station IS 'Name of the station.';
COMMENT ON COLUMN hearing_by_hour.transmissions IS 'Of the emitter, that the station heard; where they start.';
