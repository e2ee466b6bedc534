-- Which stations hear an emitter, and how often each missed it while it delivered something else.
-- :channel bigint; channel_id of the emitter
-- :emitter bigint; emitter_id
-- :days double precision [0, 4000] = 28; how far back
-- :until timestamptz = now; end of the stretch
SELECT s.station, coalesce(sum(r.transmissions), 0) AS heard,
       sum(e.transmissions) - coalesce(sum(r.transmissions), 0) AS missed,
       max(r.hour) AS last_hour
FROM emitter_by_hour AS e
JOIN station_by_hour AS s ON s.hour = e.hour
LEFT JOIN hearing_by_hour AS r ON r.channel_id = e.channel_id AND r.emitter_id = e.emitter_id
                              AND r.hour = e.hour AND r.station = s.station
WHERE e.channel_id = :'channel'::bigint AND e.emitter_id = :'emitter'::bigint
  AND e.hour > :'until'::timestamptz - :'days'::double precision * interval '1 day'
  AND e.hour <= :'until'::timestamptz
GROUP BY s.station ORDER BY s.station
