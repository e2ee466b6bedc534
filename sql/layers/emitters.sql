-- Emitters
-- Where each emitter most likely is, as it now stands; retired ones are left out. Evidence, never
-- proof of who transmits.
SELECT channel_id || '/' || emitter_id AS id,
       coalesce(name, channel_id || '/' || emitter_id) AS title,
       first_heard AS begin_at, last_heard AS end_at, state, motion,
       round(frequency_hz) AS frequency_hz, channel, stations, bearings,
       round(semi_major_m) AS semi_major_m, round(semi_minor_m) AS semi_minor_m,
       round(orientation_deg::numeric, 1) AS orientation_deg, probability, grade, verdict, note,
       position AS geometry
FROM emitter_latest WHERE state <> 'retired' AND position IS NOT NULL
