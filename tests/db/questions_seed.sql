-- A small history of Osmere as of 2031-05-04 12:00 UTC, which sql/README.md is asked about.
-- Two days; four stations; five emitters:
--   (12, 1) confirmed, licensed as OSM-12, heard a minute ago at (41.2, -150.3)
--   (12, 2) confirmed, on the same channel, 8 km from the licensed place, silent since yesterday
--   (1000007, 3) moving, new this morning, in no register
--   (1000007, 4) tentative, not compared with the register yet
--   (14, 5) retired a month ago; licence OSM-31 was its own
SELECT make_bearing_day('2031-05-03'), make_bearing_day('2031-05-04');

INSERT INTO station (station_id, name, position, antenna_height_m, site_sigma_deg, bias_deg) VALUES
    (1, 'LANTERN-HEAD', 'POINT(-150.450 41.430)', 20, 1.0, 0),
    (2, 'MOSS-RIDGE',   'POINT(-150.020 41.330)', 15, 1.2, 0.5),
    (3, 'QUILL-POINT',  'POINT(-150.120 41.020)', 12, 1.0, 0),
    (4, 'HARROW-HILL',  'POINT(-150.560 41.080)', 30, 0.8, 0);
INSERT INTO channel (channel_id, name, frequency_hz, bandwidth_hz) VALUES
    (12, 'harbour', 156.8e6, 25e3),
    (14, 'field',   433.92e6, 25e3);
INSERT INTO licence (licence_id, holder, service, position, position_sigma_m, frequency_hz,
                     bandwidth_hz, valid_from, valid_until) VALUES
    ('OSM-12', 'Osmere Harbour', 'maritime', 'POINT(-150.3 41.2)', 50, 156.8e6, 16e3, NULL, NULL),
    ('OSM-31', 'Osmere Field', 'fixed', 'POINT(-150.2 41.3)', 50, 433.92e6, 16e3, NULL, NULL),
    ('OSM-40', 'Osmere Light', 'fixed', 'POINT(-150.5 41.1)', 50, 440e6, 16e3, NULL,
     '2030-12-31 00:00Z');

INSERT INTO emitter (channel_id, emitter_id, revision, state, motion, valid_at, frequency_hz,
    first_heard, last_heard, bearings, looks, stations, speed_m_per_s, course_deg,
    speed_sigma_m_per_s, refusal, grade, position, covariance_ee_m2, covariance_en_m2,
    covariance_nn_m2, semi_major_m, semi_minor_m, orientation_deg, probability, region_kind,
    region_open, chi_square, degrees_of_freedom, p_value, crossing_deg)
SELECT channel, id, 3, state, motion, last, frequency_hz, first, last, bearings, 4, stations,
       speed, course, speed / 10, 'none', grade, place::geography, 1e4, 0, 4e4,
       200 * sqrt(-2 * ln(0.05)), 100 * sqrt(-2 * ln(0.05)), 0, 0.95, 'ellipse', false,
       1.5, 1, 0.22, 70
FROM (VALUES
    (12, 1, 'confirmed', 'still', 156800010.0, '2031-04-01 08:00Z'::timestamptz,
     '2031-05-04 11:59Z'::timestamptz, 900, '{1,2,3}'::integer[], NULL::double precision,
     NULL::double precision, 'checked', 'POINT(-150.3 41.2)'),
    (12, 2, 'silent', 'still', 156800200.0, '2031-05-01 06:00Z', '2031-05-03 18:00Z', 120,
     '{2,3}', NULL, NULL, 'unchecked', 'POINT(-150.3 41.272)'),
    (1000007, 3, 'confirmed', 'moving', 446006250.0, '2031-05-04 09:30Z', '2031-05-04 11:58Z', 300,
     '{1,2,3,4}', 12.5, 90, 'checked', 'POINT(-150.15 41.25)'),
    (1000007, 4, 'tentative', 'still', 446006100.0, '2031-05-04 11:57Z', '2031-05-04 11:59:30Z', 6,
     '{1,4}', NULL, NULL, 'odd', 'POINT(-150.5 41.3)'),
    (14, 5, 'retired', 'still', 433920000.0, '2031-01-01 00:00Z', '2031-04-01 00:00Z', 5000,
     '{1,2,3,4}', NULL, NULL, 'checked', 'POINT(-150.2 41.3)'))
    AS e (channel, id, state, motion, frequency_hz, first, last, bearings, stations, speed,
          course, grade, place);
INSERT INTO emitter_name (channel_id, emitter_id, name) VALUES (12, 1, 'harbour mast');
INSERT INTO register_match (channel_id, emitter_id, verdict, posterior, licence_id, distance_m) VALUES
    (12, 1, 'registered', 0.99, 'OSM-12', 0),
    (12, 2, 'position_disagrees', 0.96, 'OSM-12', 7997),
    (1000007, 3, 'unregistered', 0.98, NULL, NULL);
INSERT INTO emitter_event (channel_id, emitter_id, at, kind, evidence) VALUES
    (12, 2, '2031-05-01 06:00Z', 'new', 'stations MOSS-RIDGE and QUILL-POINT agree'),
    (12, 2, '2031-05-03 19:00Z', 'silent', 'not heard for 60 min'),
    (1000007, 3, '2031-05-04 09:30Z', 'new', 'four stations agree, chi-square 1.1'),
    (1000007, 3, '2031-05-04 09:40Z', 'confirmed', '6 bearings, 2 looks'),
    (1000007, 4, '2031-05-04 11:57Z', 'new', 'two stations agree');
INSERT INTO track_point (channel_id, emitter_id, at, position, covariance_ee_m2, covariance_en_m2,
    covariance_nn_m2, speed_m_per_s, course_deg, speed_sigma_m_per_s)
SELECT 1000007, 3, t, format('POINT(%s 41.25)', lon)::geography, 1e4, 0, 1e4, 12.5, 90, 1.2
FROM (VALUES ('2031-05-04 11:38Z'::timestamptz, -150.33), ('2031-05-04 11:48Z', -150.24),
             ('2031-05-04 11:58Z', -150.15)) AS p (t, lon);

-- Harbour: 60 s at 09:00, 120 s at 11:00 today. The moving one's channel: 30 s at 11:30.
INSERT INTO transmission (channel_id, transmission_id, revision, state, start_at, end_at,
                          bearings, stations)
SELECT channel, (extract(epoch FROM start_at) * 1000000000)::bigint, 2, 'final', start_at,
       start_at + length, 3, stations
FROM (VALUES (12, '2031-05-04 09:00Z'::timestamptz, interval '60 s', '{1,2,3}'::integer[]),
             (12, '2031-05-04 11:00Z', '120 s', '{1,2,3}'),
             (1000007, '2031-05-04 11:30Z', '30 s', '{1,2,3,4}'),
             (1000007, '2031-05-04 11:40Z', '5 s', '{1,2}')) AS t (channel, start_at, length, stations);
INSERT INTO fix (channel_id, transmission_id, ordinal, revision, state, valid_at, frequency_hz,
    stations, emitter_id, refusal, grade, position, covariance_ee_m2, covariance_en_m2,
    covariance_nn_m2, semi_major_m, semi_minor_m, orientation_deg, probability, region_kind,
    region_open, chi_square, degrees_of_freedom, p_value, crossing_deg)
SELECT channel_id, transmission_id, 0, 2, 'final', start_at, 156800000, 3,
       CASE channel_id WHEN 12 THEN 1 ELSE 3 END, 'none', 'checked', 'POINT(-150.3 41.2)',
       1e4, 0, 4e4, 200 * sqrt(-2 * ln(0.05)), 100 * sqrt(-2 * ln(0.05)), 0, 0.95, 'ellipse',
       false, 1.5, 1, 0.22, 70
FROM transmission WHERE start_at <> '2031-05-04 11:40Z';
INSERT INTO fix (channel_id, transmission_id, ordinal, revision, state, valid_at, frequency_hz,
    stations, refusal, grade, region_open, chi_square, degrees_of_freedom, p_value, crossing_deg)
SELECT channel_id, transmission_id, 0, 2, 'final', start_at, 446006200, 2, 'poor_geometry',
       'unchecked', false, 0, 0, 1, 1.8
FROM transmission WHERE start_at = '2031-05-04 11:40Z';

-- Bearings of the three fixes, one of them by way of a reflection; and one yesterday, the last
-- that HARROW-HILL sent.
INSERT INTO bearing (channel_id, start_at, stream_id, sequence, integration_ns, clock_error_ns,
    frequency_hz, azimuth_deg, sigma_deg, station_id, flags, start_ns, station_moves, snr_db)
SELECT channel, start_at, 70 + station, row_number() OVER (PARTITION BY station ORDER BY start_at),
       250000000, 50000, CASE channel WHEN 12 THEN 156.8e6 ELSE 446.00625e6 END, azimuth_deg, 1.5,
       station, 0, 0, false, 20
FROM (VALUES (12, '2031-05-03 23:10:00Z'::timestamptz, 4, 60.0),
             (12, '2031-05-04 09:00:00Z', 1, 153.5),
             (12, '2031-05-04 09:00:01Z', 2, 239.4),
             (12, '2031-05-04 09:00:02Z', 3, 323.0),
             (12, '2031-05-04 11:00:00Z', 1, 153.8),
             (12, '2031-05-04 11:00:01Z', 2, 239.1),
             (12, '2031-05-04 11:00:02Z', 3, 323.2),
             (12, '2031-05-04 11:00:03Z', 1, 20.0),
             (1000007, '2031-05-04 11:30:00Z', 1, 130.0),
             (1000007, '2031-05-04 11:30:01Z', 2, 215.0),
             (1000007, '2031-05-04 11:30:02Z', 3, 340.0)) AS b (channel, start_at, station, azimuth_deg);
INSERT INTO stream_mark (station_id, stream_id, sequence, bearings, last_start_at, moved_at)
SELECT station_id, stream_id, max(sequence), count(*), max(start_at),
       max(start_at) + interval '1 second'
FROM bearing GROUP BY station_id, stream_id;
INSERT INTO fix_bearing (channel_id, transmission_id, ordinal, station_id, stream_id, sequence,
                         residual_deg, used)
SELECT b.channel_id, t.transmission_id, 0, b.station_id, b.stream_id, b.sequence,
       CASE WHEN b.azimuth_deg = 20.0 THEN -133.8 ELSE b.station_id * 0.25 - 0.5 END,
       b.azimuth_deg <> 20.0
FROM bearing AS b JOIN transmission AS t
  ON t.channel_id = b.channel_id AND b.start_at BETWEEN t.start_at AND t.end_at;

INSERT INTO alert (alert_id, rule, severity, raised_at, channel_id, emitter_id, station_id,
                   message, acknowledged_at, acknowledged_by) VALUES
    ('new/1000007/3', 'new_unregistered_emitter', 'warning', '2031-05-04 09:40Z', 1000007, 3, NULL,
     'an emitter on 446.00625 MHz is not found in the register', NULL, NULL),
    ('silent/4', 'station_silent', 'urgent', '2031-05-03 23:20Z', NULL, NULL, 4,
     'station HARROW-HILL is silent', NULL, NULL),
    ('place/12/2', 'position_disagrees', 'notice', '2031-05-01 07:00Z', 12, 2, NULL,
     'an emitter on the channel of OSM-12 is 8.0 km from its place', '2031-05-01 08:00Z', 'watch');
UPDATE alert SET stations = '{1,2,3}', position = ST_MakePoint(-150.4, 41.1)::geography,
                 semi_major_m = 900, semi_minor_m = 300, orientation_deg = 30, probability = 0.95,
                 posterior = 0.97, would_change = 'an entry of the register at this place'
WHERE alert_id = 'new/1000007/3';

INSERT INTO alert_rule (rule, enabled, severity, hold_down_s, set_by) VALUES
    ('emitter_moved', true, 'warning', 600, 'watch');
INSERT INTO watched_area (name, centre, radius_m, days, from_minute, to_minute, low_hz, high_hz,
                          set_by) VALUES
    ('harbour', ST_MakePoint(-150.3, 41.2)::geography, 2000, 127, 0, 0, 0, 1e12, 'watch');
INSERT INTO alert_mute (rule, station_id, until_at, muted_by, note) VALUES
    ('station_silent', 4, '2031-05-10 00:00Z', 'watch', 'its mast is being painted');

INSERT INTO bearing_only VALUES
    (14, 6, 1, 4, 'waiting', 'POINT(-150.450 41.430)', 211.4, 1.1, 433.93e6, '2031-05-04 08:00Z',
     '2031-05-04 11:40Z', 24, 6, NULL),
    (12, 7, 4, 2, 'located', 'POINT(-150.560 41.080)', 58.9, 0.9, 156.8e6, '2031-05-03 08:00Z',
     '2031-05-03 09:00Z', 12, 4, 1);

INSERT INTO case_file (opened_by, question, since, until, frequency_hz, place, radius_m) VALUES
    ('watch', 'What is on the harbour''s channel at night?', '2031-05-01', '2031-05-04 12:00Z',
     156.8e6, ST_MakePoint(-150.3, 41.2)::geography, 10000);
INSERT INTO case_emitter (channel_id, emitter_id, case_id, added_by) SELECT 12, 1, case_id, 'watch' FROM case_file;

-- What a run replaced: the first channel's, as if it had been made with another calibration.
INSERT INTO recompute_run (since, done_by, note) VALUES ('2031-05-04', 'watch', 'QUILL-POINT turned');
INSERT INTO fix_before SELECT run_id, f.* FROM recompute_run, fix AS f WHERE channel_id = 12;
INSERT INTO emitter_before SELECT run_id, e.* FROM recompute_run, emitter AS e WHERE channel_id = 12;

SELECT rebuild_hours();
