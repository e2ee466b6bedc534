-- What each station hears and misses of the emitters that were located. Missed: a transmission of an
-- emitter in an hour in which the station delivered some bearing, but none that this fix used.
-- :days double precision [0, 4000] = 7; how far back
-- :until timestamptz = now; end of the stretch
SELECT s.station, count(DISTINCT (e.channel_id, e.emitter_id)) FILTER (WHERE r.transmissions > 0)
           AS emitters_heard,
       coalesce(sum(r.transmissions), 0) AS heard,
       sum(e.transmissions) - coalesce(sum(r.transmissions), 0) AS missed,
       round(100 * coalesce(sum(r.transmissions), 0) / nullif(sum(e.transmissions), 0)) AS percent
FROM station_by_hour AS s
JOIN emitter_by_hour AS e ON e.hour = s.hour AND e.transmissions > 0
LEFT JOIN hearing_by_hour AS r ON r.channel_id = e.channel_id AND r.emitter_id = e.emitter_id
                              AND r.hour = e.hour AND r.station = s.station
WHERE s.hour > :'until'::timestamptz - :'days'::double precision * interval '1 day'
  AND s.hour <= :'until'::timestamptz
GROUP BY s.station ORDER BY s.station
