-- Every bearing's station is in table station. No foreign key says so: the server checks.
SELECT b.station_id, count(*), min(b.start_at), max(b.start_at)
FROM bearing AS b WHERE NOT EXISTS (SELECT FROM station AS s WHERE s.station_id = b.station_id)
GROUP BY b.station_id;
