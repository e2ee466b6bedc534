-- Bearings that each station took, hour by hour.
-- :hours integer [1, 9000] = 24; how far back
-- :until timestamptz = now; end of the stretch
SELECT hour, station, bearings, minutes FROM station_by_hour
WHERE hour > :'until'::timestamptz - make_interval(hours => :'hours'::integer + 1)
  AND hour <= :'until'::timestamptz
ORDER BY hour, station
