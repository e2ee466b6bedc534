-- A fix that names an emitter names one that is there.
SELECT f.channel_id, f.transmission_id, f.ordinal, f.emitter_id
FROM fix AS f
WHERE f.emitter_id IS NOT NULL AND f.state <> 'withdrawn'
  AND NOT EXISTS (SELECT FROM emitter AS e
                  WHERE e.channel_id = f.channel_id AND e.emitter_id = f.emitter_id);
