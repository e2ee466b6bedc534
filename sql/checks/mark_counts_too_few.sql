-- A mark counts every bearing of its stream; fewer rows are fine, days are dropped.
SELECT m.station_id, m.stream_id, m.bearings, count(*) AS stored
FROM stream_mark AS m
JOIN bearing AS b ON b.station_id = m.station_id AND b.stream_id = m.stream_id
GROUP BY m.station_id, m.stream_id HAVING count(*) > m.bearings;
