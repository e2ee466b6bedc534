-- The nights of the week on which an emitter is on. A night bears the name of the day on which it
-- begins. An emitter that nobody listened for was not heard: see the query hearing.
-- :channel bigint; channel_id of the emitter
-- :emitter bigint; emitter_id
-- :weeks integer [1, 520] = 8; how far back
-- :until timestamptz = now; end of the stretch
-- :zone text = UTC; whose nights, such as Europe/Paris
-- :dusk integer [12, 23] = 21; local hour at which a night begins
-- :dawn integer [1, 12] = 5; local hour at which it ends
WITH nights AS (
    SELECT night::date AS night
    FROM generate_series((:'until'::timestamptz AT TIME ZONE :'zone')::date - 7 * :'weeks'::integer,
                         (:'until'::timestamptz AT TIME ZONE :'zone')::date - 1,
                         interval '1 day') AS night),
heard AS (
    SELECT (local - interval '12 hours')::date AS night, sum(transmissions) AS transmissions
    FROM (SELECT hour AT TIME ZONE :'zone' AS local, transmissions FROM emitter_by_hour
          WHERE channel_id = :'channel'::bigint AND emitter_id = :'emitter'::bigint
            AND hour > :'until'::timestamptz - make_interval(days => 7 * :'weeks'::integer + 2)
            AND hour <= :'until'::timestamptz) AS h
    WHERE extract(hour FROM local) >= :'dusk'::integer OR extract(hour FROM local) < :'dawn'::integer
    GROUP BY 1)
SELECT to_char(n.night, 'Dy') AS night, count(*) AS nights, count(h.night) AS nights_on,
       round(100.0 * count(h.night) / count(*)) AS percent,
       coalesce(sum(h.transmissions), 0) AS transmissions
FROM nights AS n LEFT JOIN heard AS h ON h.night = n.night
GROUP BY 1, extract(isodow FROM n.night) ORDER BY extract(isodow FROM n.night)
