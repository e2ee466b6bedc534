-- Tracks
-- Where moving emitters went: a line each, with the times of its points. Evidence, never proof of
-- who transmits.
SELECT e.channel_id || '/' || e.emitter_id AS id,
       coalesce(e.name, e.channel_id || '/' || e.emitter_id) AS title,
       t.begin_at, t.end_at, e.state, round(e.frequency_hz) AS frequency_hz, t.points, t.times,
       t.line AS geometry
FROM (SELECT channel_id, emitter_id, min(at) AS begin_at, max(at) AS end_at, count(*) AS points,
             array_agg(at ORDER BY at) AS times,
             ST_Multi(cut_at_antimeridian(ST_MakeLine(position ORDER BY at))) AS line
      FROM emitter_track GROUP BY channel_id, emitter_id HAVING count(*) > 1) AS t
JOIN emitter_latest AS e USING (channel_id, emitter_id)
