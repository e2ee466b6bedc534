-- Fixes
-- Cross-fixes that have a position, each of one transmission. Evidence, never proof of who transmits.
SELECT channel_id || '/' || transmission_id || '/' || ordinal AS id,
       coalesce(channel_id || '/' || emitter_id, 'no emitter') AS title,
       valid_at AS begin_at, valid_at AS end_at, state, round(frequency_hz) AS frequency_hz,
       stations, round(semi_major_m) AS semi_major_m, round(semi_minor_m) AS semi_minor_m,
       round(orientation_deg::numeric, 1) AS orientation_deg, probability, grade,
       position AS geometry
FROM fix_latest WHERE refusal = 'none'
