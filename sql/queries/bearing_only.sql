-- Emitters that one station alone hears: where to look from another place.
-- :days double precision [0, 4000] = 30; heard in so many days
-- :until timestamptz = now; end of the stretch
SELECT station, round(azimuth_deg::numeric, 1) AS azimuth_deg,
       round(sigma_deg::numeric, 1) AS sigma_deg, channel_id, round(frequency_hz) AS frequency_hz,
       state, first_heard, last_heard, bearings, transmissions, emitter_id, line
FROM bearing_only_list
WHERE last_heard > :'until'::timestamptz - :'days'::double precision * interval '1 day'
  AND last_heard <= :'until'::timestamptz
ORDER BY state = 'waiting' DESC, last_heard DESC, channel_id, line_id, station_id
