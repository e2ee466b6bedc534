-- Emitters that were first heard in the last days.
-- :days double precision [0, 4000] = 7; how far back
-- :until timestamptz = now; end of the stretch
SELECT first_heard, channel_id, emitter_id, state, motion, round(frequency_hz) AS frequency_hz,
       round(ST_Y(position)::numeric, 5) AS latitude, round(ST_X(position)::numeric, 5) AS longitude,
       round(semi_major_m) AS semi_major_m, probability, grade, verdict, position
FROM emitter_latest
WHERE first_heard > :'until'::timestamptz - :'days'::double precision * interval '1 day'
  AND first_heard <= :'until'::timestamptz
ORDER BY first_heard, channel_id, emitter_id
