-- Regions
-- The outline that holds each emitter with the stated probability. Evidence, never proof of who
-- transmits.
SELECT r.channel_id || '/' || r.emitter_id AS id,
       coalesce(r.name, r.channel_id || '/' || r.emitter_id) AS title,
       e.first_heard AS begin_at, r.last_heard AS end_at, r.state, r.motion,
       round(e.frequency_hz) AS frequency_hz, r.probability, r.region_kind, r.region_open, r.grade,
       r.region AS geometry
FROM emitter_region AS r JOIN emitter_latest AS e USING (channel_id, emitter_id)
