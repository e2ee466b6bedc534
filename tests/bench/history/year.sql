-- Fills an empty, migrated database with the history of an invented club of six stations that
-- ends at 2031-05-04 12:00 UTC: 400 emitters on some 300 channels, each with its own habits.
--
--   psql -v days=365 -v per_day=8450 -f year.sql     per_day transmissions, some ten bearings each
--
-- The same numbers give the same history.
\set ON_ERROR_STOP 1
SET client_min_messages = warning;
SET synchronous_commit = off;
SET jit = off;
CREATE SCHEMA year;
SELECT setseed(0.25) \g /dev/null

INSERT INTO station (station_id, name, position, antenna_height_m, site_sigma_deg, bias_deg) VALUES
    (1, 'LANTERN-HEAD', 'POINT(-150.450 41.430)', 20, 1.0, 0),
    (2, 'MOSS-RIDGE',   'POINT(-150.020 41.330)', 15, 1.2, 0.5),
    (3, 'QUILL-POINT',  'POINT(-150.120 41.020)', 12, 1.0, 0),
    (4, 'HARROW-HILL',  'POINT(-150.560 41.080)', 30, 0.8, 0),
    (5, 'TERN-ROCK',    'POINT(-150.300 41.520)', 10, 1.0, 0),
    (6, 'COPPER-FIELD', 'POINT(-150.330 40.950)', 25, 1.0, 0);
INSERT INTO channel (channel_id, name, frequency_hz, bandwidth_hz) VALUES
    (12, 'harbour', 156.8e6, 25e3),
    (14, 'field',   433.92e6, 25e3);

-- Numbers 1 to 5 are those that sql/README.md asks for. share: of the day's transmissions; on the
-- air from first_hour for hours, from first_day of the history on; hears: a chance for each station.
CREATE TABLE year.emitter AS
SELECT i AS emitter_id, CASE WHEN i <= 2 THEN 12 WHEN i <= 4 THEN 1000007 WHEN i = 5 THEN 14
                             ELSE 1000010 + i % 296 END::bigint AS channel_id,
       place, 1 + floor(20 * random()) AS first_hour, 4 + floor(20 * random()) AS hours,
       CASE WHEN i > 5 AND random() < 0.2 THEN floor(:days * random()) ELSE 0 END::integer AS first_day,
       weight / sum(weight) OVER () AS share, i % 80 = 3 AS moves,
       ARRAY(SELECT greatest(0.1, least(0.95, 1.15 - ST_Distance(s.position, place) / 90000))
             FROM station AS s ORDER BY s.station_id) AS hears
FROM (SELECT i, -ln(1 - random()) + 0.05 AS weight,
             CASE WHEN i = 1 THEN 'POINT(-150.3 41.2)'::geography
                  ELSE ST_MakePoint(-150.7 + 0.8 * random(), 40.9 + 0.7 * random())::geography
             END AS place
      FROM generate_series(1, 400) AS i) AS e;
CREATE TABLE year.sequence AS SELECT station_id, 0::bigint AS last FROM station;

CREATE PROCEDURE year.make_day(day timestamptz, number integer, per_day integer)
LANGUAGE plpgsql AS $$
BEGIN
    PERFORM make_bearing_day((day AT TIME ZONE 'UTC')::date + n) FROM generate_series(0, 1) AS n;
    CREATE TEMP TABLE heard ON COMMIT DROP AS
    SELECT channel_id, (extract(epoch FROM start_at) * 1000)::bigint * 1000000 AS transmission_id,
           emitter_id, place, start_at, start_at + length_s * interval '1 s' AS end_at,
           CASE WHEN stations = '{}' THEN '{1}' ELSE stations END AS stations
    FROM (SELECT DISTINCT ON (e.channel_id, start_at) e.channel_id, e.emitter_id, e.place, t.start_at,
                 0.5 + 4 * random() AS length_s,
                 ARRAY(SELECT s FROM generate_series(1, 6) AS s WHERE random() < e.hears[s]) AS stations
          FROM year.emitter AS e
          CROSS JOIN LATERAL generate_series(1, floor(e.share * per_day + random())::integer) AS n
          CROSS JOIN LATERAL (SELECT date_trunc('milliseconds', day + interval '1 hour'
              * mod((e.first_hour + e.hours * random() + 0 * n)::numeric, 24)::double precision)
              AS start_at) AS t
          WHERE number >= e.first_day AND t.start_at < '2031-05-04 12:00Z') AS drawn
    ORDER BY start_at;

    INSERT INTO transmission (channel_id, transmission_id, revision, state, start_at, end_at,
                              bearings, stations)
    SELECT channel_id, transmission_id, 2, 'final', start_at, end_at, cardinality(stations),
           stations FROM heard;
    INSERT INTO fix (channel_id, transmission_id, ordinal, revision, state, valid_at, frequency_hz,
        stations, emitter_id, refusal, grade, position, covariance_ee_m2, covariance_en_m2,
        covariance_nn_m2, semi_major_m, semi_minor_m, orientation_deg, probability, region_kind,
        region_open, chi_square, degrees_of_freedom, p_value, crossing_deg)
    SELECT channel_id, transmission_id, 0, 2, 'final', start_at, 156.8e6, cardinality(stations),
           emitter_id, CASE WHEN made THEN 'none' ELSE 'one_station' END,
           CASE WHEN cardinality(stations) > 2 THEN 'checked' ELSE 'unchecked' END,
           CASE WHEN made THEN ST_Project(place, 300 * random(), 6 * random()) END,
           CASE WHEN made THEN 1e4 END, CASE WHEN made THEN 0 END, CASE WHEN made THEN 4e4 END,
           CASE WHEN made THEN 489.5493567 END, CASE WHEN made THEN 244.7746784 END,
           CASE WHEN made THEN 0 END, CASE WHEN made THEN 0.95 END,
           CASE WHEN made THEN 'ellipse' END, false, 1.5, greatest(0, cardinality(stations) - 2),
           0.22, 70
    FROM heard CROSS JOIN LATERAL (SELECT cardinality(stations) > 1 AS made) AS m;

    -- One to four bearings a station.
    WITH taken AS MATERIALIZED (
        SELECT h.channel_id, h.transmission_id, s.station_id, k,
               h.start_at + k * (h.end_at - h.start_at) / 5 AS start_at,
               q.last + row_number() OVER (PARTITION BY s.station_id ORDER BY h.start_at, h.channel_id, k) AS sequence
        FROM heard AS h CROSS JOIN LATERAL unnest(h.stations) AS s (station_id)
        CROSS JOIN LATERAL generate_series(
            0, (hashint8(h.transmission_id + s.station_id) & 3)) AS k
        JOIN year.sequence AS q ON q.station_id = s.station_id),
    moved AS (
        UPDATE year.sequence AS q SET last = q.last + n.bearings
        FROM (SELECT station_id, count(*) AS bearings FROM taken GROUP BY 1) AS n
        WHERE n.station_id = q.station_id),
    stored AS (
        INSERT INTO bearing (channel_id, start_at, stream_id, sequence, integration_ns,
            clock_error_ns, frequency_hz, azimuth_deg, sigma_deg, station_id, flags, start_ns,
            station_moves, snr_db)
        SELECT channel_id, start_at, 70 + station_id, sequence, 250000000, 50000, 156.8e6,
               360 * random(), 1.5, station_id, 8, 0, false, 20
        FROM taken ORDER BY start_at)
    INSERT INTO fix_bearing (channel_id, transmission_id, ordinal, station_id, stream_id, sequence,
                             residual_deg, used)
    SELECT channel_id, transmission_id, 0, station_id, 70 + station_id, sequence,
           4 * random() - 2, k = 0 OR random() < 0.95
    FROM taken;
END $$;

CREATE PROCEDURE year.make_days(days integer, per_day integer)
LANGUAGE plpgsql AS $$
BEGIN
    FOR n IN 0 .. days LOOP
        CALL year.make_day('2031-05-04 00:00Z'::timestamptz - (days - n) * interval '1 day', n, per_day);
        COMMIT;
    END LOOP;
END $$;
CALL year.make_days(:days, :per_day);

INSERT INTO stream_mark (station_id, stream_id, sequence, bearings, last_start_at)
SELECT station_id, 70 + station_id, last, last, '2031-05-04 11:59Z' FROM year.sequence WHERE last > 0;
-- sql/README.md asks for a fix of this moment.
UPDATE fix SET valid_at = '2031-05-04 11:00Z'
WHERE (channel_id, transmission_id) IN (
    SELECT channel_id, max(transmission_id) FROM fix WHERE channel_id = 12 AND emitter_id = 1 GROUP BY 1);
ANALYZE transmission, fix, fix_bearing, bearing;
SELECT rebuild_hours() \g /dev/null
ANALYZE station_hour, channel_hour, emitter_hour, hearing_hour;

INSERT INTO emitter (channel_id, emitter_id, revision, state, motion, valid_at, frequency_hz,
    first_heard, last_heard, bearings, looks, stations, speed_m_per_s, course_deg,
    speed_sigma_m_per_s, refusal, grade, position, covariance_ee_m2, covariance_en_m2,
    covariance_nn_m2, semi_major_m, semi_minor_m, orientation_deg, probability, region_kind,
    region_open, chi_square, degrees_of_freedom, p_value, crossing_deg)
SELECT e.channel_id, e.emitter_id, 3,
       CASE WHEN e.emitter_id = 5 THEN 'retired' WHEN h.last > '2031-05-04 11:00Z' THEN 'confirmed'
            ELSE 'silent' END,
       CASE WHEN e.moves THEN 'moving' ELSE 'still' END, h.last, 156.8e6 + 12500 * e.emitter_id,
       h.first, h.last, h.transmissions * 10, h.transmissions, '{1,2,3,4,5,6}',
       CASE WHEN e.moves THEN 12.5 END, CASE WHEN e.moves THEN 90 END, CASE WHEN e.moves THEN 1 END,
       'none', 'checked', e.place, 1e4, 0, 4e4, 489.5493567, 244.7746784, 0, 0.95, 'ellipse', false,
       1.5, 4, 0.22, 70
FROM year.emitter AS e
JOIN (SELECT channel_id, emitter_id, min(hour) AS first, max(hour) + interval '59 min' AS last,
             sum(transmissions)::bigint AS transmissions
      FROM emitter_hour GROUP BY 1, 2) AS h
  ON h.channel_id = e.channel_id AND h.emitter_id = e.emitter_id;
INSERT INTO emitter_name (channel_id, emitter_id, name) VALUES (12, 1, 'harbour mast');
INSERT INTO emitter_event (channel_id, emitter_id, at, kind, evidence)
SELECT channel_id, emitter_id, first_heard, 'new', 'three stations agree' FROM emitter
UNION ALL
SELECT channel_id, emitter_id, first_heard + n * interval '5 days',
       CASE WHEN n % 2 = 1 THEN 'silent' ELSE 'returned' END, 'heard again or not for 60 min'
FROM emitter CROSS JOIN generate_series(1, :days / 5) AS n;
INSERT INTO track_point (channel_id, emitter_id, at, position, covariance_ee_m2, covariance_en_m2,
    covariance_nn_m2, speed_m_per_s, course_deg, speed_sigma_m_per_s)
SELECT channel_id, emitter_id, t, ST_Project(position, 15000 * random(), 6 * random()), 1e4, 0, 1e4,
       12.5, 90, 1.2
FROM emitter CROSS JOIN generate_series('2031-05-04 12:00Z'::timestamptz - :days * interval '1 day',
                                        '2031-05-04 11:58Z', interval '10 min') AS t
WHERE motion = 'moving';
INSERT INTO licence (licence_id, holder, service, position, position_sigma_m, frequency_hz, bandwidth_hz)
SELECT 'OSM-' || i, 'Osmere', 'fixed', ST_MakePoint(-150.7 + 0.8 * random(), 40.9 + 0.7 * random()),
       50, 156.8e6 + 12500 * i, 16e3
FROM generate_series(1, 1000) AS i;
INSERT INTO register_match (channel_id, emitter_id, verdict, posterior, licence_id, distance_m)
SELECT channel_id, emitter_id, CASE WHEN emitter_id % 9 = 0 THEN 'unregistered' ELSE 'registered' END,
       0.98, CASE WHEN emitter_id % 9 > 0 THEN 'OSM-' || emitter_id END, 100 FROM emitter;
INSERT INTO alert (alert_id, rule, severity, raised_at, channel_id, emitter_id, message)
SELECT 'new/' || channel_id || '/' || emitter_id, 'new_unregistered_emitter', 'warning', first_heard,
       channel_id, emitter_id, 'an emitter is not found in the register'
FROM emitter WHERE emitter_id % 9 = 0;
-- What an unhurried autovacuum does in a year.
VACUUM ANALYZE;

-- The questions ask for now(): a function of that name, found first, says noon.
CREATE SCHEMA frozen;
GRANT USAGE ON SCHEMA frozen TO fixwright_reader;
CREATE FUNCTION frozen.now() RETURNS timestamptz LANGUAGE sql STABLE AS
$$ SELECT timestamptz '2031-05-04 12:00Z' $$;
