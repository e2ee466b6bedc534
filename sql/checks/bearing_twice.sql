-- A bearing is stored once, however often it was sent.
SELECT station_id, stream_id, sequence, count(*)
FROM bearing GROUP BY station_id, stream_id, sequence HAVING count(*) > 1;
