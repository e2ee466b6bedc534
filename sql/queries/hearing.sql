-- What each station hears and misses of the emitters that were located. Missed: a transmission of an
-- emitter in an hour in which the station delivered some bearing, but none that this fix used.
-- :days double precision [0, 4000] = 7; how far back
-- :until timestamptz = now; end of the stretch
WITH stretch AS (
    SELECT :'until'::timestamptz - :'days'::double precision * interval '1 day' AS begins,
           :'until'::timestamptz AS ends),
sent AS (  -- what there was to be heard, hour by hour
    SELECT hour, sum(transmissions) AS transmissions
    FROM emitter_by_hour, stretch WHERE hour > begins AND hour <= ends GROUP BY hour),
offered AS (
    SELECT s.station, sum(sent.transmissions) AS transmissions
    FROM station_by_hour AS s JOIN sent USING (hour) WHERE sent.transmissions > 0
    GROUP BY s.station),
each_heard AS (
    SELECT station, channel_id, emitter_id, sum(transmissions) AS transmissions
    FROM hearing_by_hour, stretch WHERE hour > begins AND hour <= ends
    GROUP BY station, channel_id, emitter_id),
heard AS (
    SELECT station, count(*) AS emitters, sum(transmissions) AS transmissions
    FROM each_heard GROUP BY station)
SELECT station, coalesce(emitters, 0) AS emitters_heard, coalesce(heard.transmissions, 0) AS heard,
       offered.transmissions - coalesce(heard.transmissions, 0) AS missed,
       round(100 * coalesce(heard.transmissions, 0) / offered.transmissions) AS percent
FROM offered LEFT JOIN heard USING (station) ORDER BY station
