-- Who was on the air at a moment.
-- :at timestamptz; the moment
-- :margin double precision [0, 86400] = 60; how much before and after it counts too, s
SELECT o.channel_id, o.emitter_id, e.name, round(e.frequency_hz) AS frequency_hz, o.first_at,
       o.last_at, o.transmissions, e.verdict, e.position
FROM on_the_air(:'at'::timestamptz - :'margin'::double precision * interval '1 s',
                :'at'::timestamptz + :'margin'::double precision * interval '1 s') AS o
JOIN emitter_latest AS e ON e.channel_id = o.channel_id AND e.emitter_id = o.emitter_id
ORDER BY o.channel_id, o.emitter_id
