-- An accepted fix counts the stations of which it used a bearing.
SELECT f.channel_id, f.transmission_id, f.ordinal, f.stations,
       count(DISTINCT p.station_id) FILTER (WHERE p.used) AS used
FROM fix AS f
LEFT JOIN fix_bearing AS p ON p.channel_id = f.channel_id
     AND p.transmission_id = f.transmission_id AND p.ordinal = f.ordinal
WHERE f.refusal = 'none' AND f.state <> 'withdrawn'
GROUP BY f.channel_id, f.transmission_id, f.ordinal
HAVING f.stations <> count(DISTINCT p.station_id) FILTER (WHERE p.used);
