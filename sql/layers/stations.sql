-- Stations
-- The receiving sites.
SELECT station_id::text AS id, name AS title, NULL::timestamptz AS begin_at,
       NULL::timestamptz AS end_at, moves, round(antenna_height_m) AS antenna_height_m,
       site_sigma_deg, bearings, last_bearing_at, position AS geometry
FROM station_status
