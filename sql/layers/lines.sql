-- Lines of one station
-- Emitters that one station alone hears: a direction, no place. The line is 50 km long, which is
-- not a range.
SELECT channel_id || '/' || line_id || '/' || station_id AS id,
       station || ' ' || round(azimuth_deg) || ' degrees' AS title,
       first_heard AS begin_at, last_heard AS end_at, state, station,
       round(azimuth_deg::numeric, 1) AS azimuth_deg, round(sigma_deg::numeric, 1) AS sigma_deg,
       round(frequency_hz) AS frequency_hz, bearings, transmissions, line AS geometry
FROM bearing_only_list
